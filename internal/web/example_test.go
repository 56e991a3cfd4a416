package web_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/sim"
	"tripsim/internal/web"
)

// A server of one scenario on this machine only. The trip is invented.
func ExampleNew() {
	server, err := web.New(web.Config{
		Name: "example", Options: sim.DefaultOptions(), Format: report.DefaultFormat(),
		Files: map[string][]byte{
			"trip.csv":    []byte("date,days,place,latitude,longitude,elevation_m,drive_hours\n2026-10-03,2,Coast,30.54,-9.71,10,0\n"),
			"loads.csv":   []byte("name,preset\nFridge,fridge_40\n"),
			"systems.csv": []byte("system,battery_ah\nSmall,100\n"),
		},
	})
	if err != nil {
		panic(err)
	}
	const address = "127.0.0.1:0" // any free port
	listener, err := web.Listen(address)
	if err != nil {
		panic(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan error)
	go func() { served <- server.Serve(ctx, listener, address) }()

	response, err := http.Get(web.URL(listener))
	if err != nil {
		panic(err)
	}
	page, _ := io.ReadAll(response.Body)
	response.Body.Close()
	fmt.Println(response.StatusCode, strings.Contains(string(page), "Small"))
	stop()
	fmt.Println(<-served)
	// Output:
	// 200 true
	// <nil>
}
