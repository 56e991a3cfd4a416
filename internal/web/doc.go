// Package web is the room for the local page: the tables of a scenario are
// edited in a browser and the answer follows every edit. It speaks HTTP and
// HTML; what the tables mean is package scenario's, what comes out of them
// package sim's and report's. There is no second simulator in the browser.
//
//	posted cells -> document (bytes of CSV) -> scenario -> engine -> answer (JSON lines)
//
// The page is embedded, asks nothing of any other machine and can be read
// without JavaScript. One process serves one scenario to one adviser: the server
// keeps the tables, so that a closed browser loses nothing. It listens on the
// loopback address unless told otherwise and answers only requests that name it
// as their host and come from its own page (guard.go).
//
// Sources. Content security: W3C, Content Security Policy Level 3. Contrast and
// keyboard use: W3C, Web Content Accessibility Guidelines 2.2 (2023), level AA.
// Map: Natural Earth (public domain), see package atlas.
package web
