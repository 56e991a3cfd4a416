// Package report turns results into what people read: the verdict in one
// sentence, tables for the terminal, CSV and JSON files and the quote document.
//
// It knows the results of package sim and nothing of where they came from: it
// reads no scenario, starts no simulation, draws no picture (finished pictures
// come in as bytes) and never looks at the clock, so that the same result
// always gives the same bytes. Every text is in texts.go, every date and number
// passes through Format, and every string that a person wrote passes through
// Clean before it reaches a terminal, a spreadsheet or a document.
//
// Sources: CSV after RFC 4180 (2005); times after ISO 8601-1:2019; character
// widths after Unicode Standard Annex 11, East Asian Width; bidirectional
// control characters after Unicode Standard Annex 9.
package report
