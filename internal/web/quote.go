package web

import "net/http"

// canQuote tells whether the page offers the quote document.
const canQuote = false

func (s *Server) getQuote(w http.ResponseWriter, r *http.Request) { http.NotFound(w, r) }
