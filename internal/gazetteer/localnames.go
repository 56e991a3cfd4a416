package gazetteer

import (
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"
)

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

// ringed finds a place that is written with aa in the query and with å in the list,
// or the other way round: Aarhus and Århus, Ålborg and Aalborg.
func ringed(query, name string, within []string) []Place {
	if plain := strings.ReplaceAll(name, "aa", "a"); plain != name {
		return slices.DeleteFunc(called(plain, within), func(p Place) bool { return !strings.Contains(lower(p.Name), "å") })
	}
	first, _, _ := strings.Cut(lower(query), ",")
	if pair := Fold(strings.ReplaceAll(first, "å", "aa")); pair != name {
		return called(pair, within)
	}
	return nil
}

// lower is a name in small letters, each with its diacritics as one.
func lower(name string) string { return norm.NFC.String(strings.ToLower(name)) }
