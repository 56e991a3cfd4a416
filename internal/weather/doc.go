// Package weather is the room for what sky and air do at a place and date: the
// built-in climate of months ([NormalsAt]), the typical day, synthetic weather
// that varies from day to day as real weather does ([Plan.Draw]), and hourly
// weather files ([ReadEPW], [ReadCSV], [Plan.Replay]). It gives global and
// diffuse irradiance and air temperature for every step of a trip.
//
// It knows the sun (package solar) and nothing of vehicles, loads, panels or
// batteries; it opens no file and never looks at the clock.
//
// Sources. Monthly means: New, Lister, Hulme & Makin 2002; Large & Yeager 2009;
// Allen, Pereira, Raes & Smith 1998 (see climate.csv). Daily clearness: an
// autocorrelated Gaussian series mapped to the distribution for the month's
// mean (Graham, Hollands & Unny 1988), shaped to the pooled statistics of 1,062
// stations. Within the day: Aguiar & Collares-Pereira 1992, Graham & Hollands
// 1990. Beam and diffuse: Erbs, Klein & Duffie 1982. Temperature day by day:
// Richardson 1981; through the day: Parton & Logan 1981.
//
// Known errors of the climate. Monthly sun is within 6 % (median) of stations
// that are not in it, single months within 13 % (root mean square), a few per
// cent high on average; it is about 5 % low in Australia, low in the central
// Sahara, high in the humid tropics. Temperatures are about 1 K cool at night
// and 0.5 to 1.5 K cool against recent decades. Only the height of a place is
// corrected for (see [NormalsAt]), the rest is left as it is and said so; every
// day of a trip can be overridden.
//
// Draws are seeded per draw (PCG): the same seed and number give the same
// weather on any number of workers.
package weather
