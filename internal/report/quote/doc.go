// Package quote makes the document that leaves the workshop: one answer to one
// customer, as a self-contained HTML page and as a PDF with the same content.
//
// Build turns results into a Document: headings, paragraphs, tables, pictures
// and lists, once, without a word about their looks. HTML and PDF paint it. A
// section is one file with one builder; a section whose results are not there
// is left out.
//
// The package runs no simulation, reads no file and never looks at the clock:
// the date comes in, and the same input gives the same bytes. Every text is in
// texts*.go; numbers and dates pass through report.Format; every string that a
// person wrote comes in through name, which cleans and marks it, so that HTML
// can isolate its direction and the PDF can replace what its typefaces lack.
//
// Sources: order of mixed directions after Unicode Standard Annex 9; joined
// Arabic letters after The Unicode Standard, chapter 9.2, and its block Arabic
// Presentation Forms-B.
package quote
