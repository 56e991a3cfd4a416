package gazetteer

import "strings"

// localNames are names that towns bear in their own country or in the languages
// around it where the list has only the English one: folded, with the name in the
// list and its country. From memory, no source; the country keeps namesakes out.
var localNames = parseLocalNames(`
alexandrie=alexandria,eg; antwerpen=antwerp,be; anvers=antwerp,be; athen=athens,gr
athina=athens,gr; athenes=athens,gr; atenas=athens,gr; beograd=belgrade,rs; belgrad=belgrade,rs;
berne=bern,ch; breslau=wroclaw,pl; brussel=brussels,be; bruxelles=brussels,be
bucuresti=bucharest,ro; bukarest=bucharest,ro; ciudad de mexico=mexico city,mx; cologne=koln,de; danzig=gdansk,pl
den haag=the hague,nl; s gravenhage=the hague,nl; dimashq=damascus,sy; donostia=donostia san sebastian,es
firenze=florence,it; florenz=florence,it; genf=geneva,ch; geneve=geneva,ch; genova=genoa,it; genua=genoa,it
goteborg=gothenburg,se; hanover=hannover,de; helsingfors=helsinki,fi; heraklion=irakleion,gr; iraklio=irakleion,gr
kaapstad=cape town,za; kapstadt=cape town,za; kairo=cairo,eg; le caire=cairo,eg; al qahirah=cairo,eg; kiev=kyiv,ua
kobenhavn=copenhagen,dk; kopenhagen=copenhagen,dk; krakau=krakow,pl; cracow=krakow,pl; la coruna=a coruna,es
lisboa=lisbon,pt; lissabon=lisbon,pt; lisbonne=lisbon,pt; londres=london,gb; lucerne=luzern,ch; mailand=milan,it
milano=milan,it; marrakech=marrakesh,ma; marrakesch=marrakesh,ma; moskva=moscow,ru; moskau=moscow,ru
munchen=munich,de; napoli=naples,it; neapel=naples,it; nizza=nice,fr; nurnberg=nuremberg,de; padova=padua,it
prag=prague,cz; praha=prague,cz; rom=rome,it; roma=rome,it; sankt peterburg=st petersburg,ru; stambul=istanbul,tr
strassburg=strasbourg,fr; tanger=tangier,ma; tinerhir=tinghir,ma; torino=turin,it; turino=turin,it
ulaanbaatar=ulan bator,mn; venedig=venice,it; venezia=venice,it; warschau=warsaw,pl; warszawa=warsaw,pl; wien=vienna,at
vienne=vienna,at; saragossa=zaragoza,es; seville=sevilla,es; tallin=tallinn,ee; reval=tallinn,ee
`)

func parseLocalNames(list string) map[string]string {
	names := map[string]string{}
	for _, entry := range strings.FieldsFunc(list, func(r rune) bool { return r == ';' || r == '\n' }) {
		if local, listed, ok := strings.Cut(strings.TrimSpace(entry), "="); ok {
			names[local] = listed
		}
	}
	return names
}

// umlauts undoes the spelling of a keyboard without them: "muenchen".
var umlauts = strings.NewReplacer("ae", "a", "oe", "o", "ue", "u")
