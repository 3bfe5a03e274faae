"""What workshops call the contract's columns and words, in English and German.

Common practice of the trade, no source; a header that is not here is proposed and confirmed by
the person who loads the file, and the store remembers what was confirmed.
"""

from __future__ import annotations

# Headings over what lies on the shelf, as somebody counted it.
ON_THE_SHELF = (
    "on the shelf|on hand|in stock|stock|stock now|counted|auf lager|bestand|lagerbestand|vorrat"
    "|gezählt|en stock|existencias|contado|compté|in magazzino|giacenza|scorta|contato"
)
_HOURS_DOWN = (
    "hours down|down hours|hrs down|hours stood|hours stood still|hours standing"
    "|hours lost|hours of downtime|stillstandsstunden|stunden stillstand|stillstand stunden"
    "|stillstand in stunden|ausfallstunden|stunden ausfall|stunden gestanden"
)

# Column of the contract → headers that mean it in any table that has the column.
HEADERS: dict[str, str] = {
    "printer": "machine|printer name|printer no|unit|drucker|maschine|gerät|druckername",
    "started_on": "first day|first day in the workshop"
    "|started|start|start date|in service since|in use since|running since|runs since|installed"
    "|since|bought|bought on|purchased"
    "|inbetriebnahme|seit|läuft seit|in betrieb seit|startdatum|gekauft",
    "site": "location|place|where|where it stands|stands at|stands in|branch|standort|ort|filiale",
    "model": "printer model|type|modell|typ",
    "head_type": "printhead|printhead type|head|head model|druckkopf|druckkopftyp|kopftyp",
    "retired_on": "retired|out of service|sold|ausgemustert|außer betrieb|stillgelegt|verkauft",
    "channels": "inks|colours|colors|ink channels|kanäle|farben|tinten",
    "part_kind": "part|kind|part type|type of part|component|spare|spare part|item"
    "|part name|what|what part|which part|article|was|teil"
    "|ersatzteil|bauteil|teileart|artikel|komponente|verschleißteil",
    "position": "pos|slot|place|where|channel|colour|color|stelle|platz|kanal|farbe|einbauort",
    "fitted_on": "fitted|installed|installed on|install date|date installed|date in|in|date fitted"
    "|fit date|mounted|put in|put in on|went in|start|eingebaut|eingebaut am|einbau|einbaudatum"
    "|montiert",
    "fitted_counter_m2": "counter in|counter at fitting|m2 at fitting|m2 in|area at fitting"
    "|counter installed|zähler einbau|zählerstand einbau|stand einbau",
    "removed_on": "removed|removed date|date removed|date out|out|taken out|taken out on|came out"
    "|replaced|replaced on"
    "|removal date|end|ausgebaut|ausgebaut am|ausbau|ausbaudatum|getauscht|getauscht am"
    "|gewechselt am",
    "removed_counter_m2": "counter out|counter at removal|m2 at removal|m2 out|area at removal"
    "|zähler ausbau|zählerstand ausbau|stand ausbau",
    "removal_reason": "reason|why|why removed|why out|why it came out|why changed|why replaced"
    "|reason for removal|removal|cause|grund|ausbaugrund|warum|ursache",
    "failure_mode": "failure|mode|fault|defect|how it failed|what failed|damage|fehler|fehlerart"
    "|fehlerbild|schaden|defekt",
    "last_ok_on": "last ok|last good|last good check|last seen good|zuletzt gut|zuletzt ok"
    "|letzte gute prüfung",
    "serial": "serial number|serial no|sn|s/n|new serial|new serial no|new sn|serial in"
    "|seriennummer|seriennr|neue seriennummer|neue seriennr|seriennummer neu|seriennr neu|sn neu",
    "serial_out": "old serial|old serial no|old serial number|old sn|sn old|sn out|serial out"
    "|serial no out|serial number out|serial old|removed serial|seriennr alt|alte seriennr"
    "|seriennummer alt|alte seriennummer|sn alt|seriennr ausgebaut|seriennummer ausgebaut",
    "hours_down": _HOURS_DOWN,
    "hours_stood": _HOURS_DOWN,
    "supplier": "vendor|seller|shop|bought from|source|lieferant|händler|verkäufer",
    "batch": "lot|batch no|lot no|batch number|charge|los|chargennummer",
    "unit_cost": "price|cost|unit price|price each|cost each|each|preis|stückpreis|kosten"
    "|einzelpreis",
    "variant": "type of part|part variant|version|ausführung|variante|bauart",
    "age_guess_days": "age guess|rough age|age at log start|estimated age|geschätztes alter"
    "|alter geschätzt",
    "claim": "warranty claim|claim state|reklamation|garantiefall",
    "claim_amount": "amount claimed|credit|credit amount|refund|gutschrift|erstattung",
    "note": "notes|remark|remarks|comment|comments|notiz|notizen|bemerkung|bemerkungen|kommentar"
    "|anmerkung",
    "task": "action|job|work|what|what was done|activity|maintenance|aufgabe|tätigkeit|arbeit"
    "|wartung|was|maßnahme",
    "done_on": "done|date|day|when|done date|date done|datum|tag|wann|erledigt am|am|erledigt",
    "why": "reason|planned or symptom|cause|trigger|planned|grund|anlass|warum",
    "minutes": "min|mins|time|time taken|duration|minuten|dauer|zeit",
    "fluid_ml": "fluid|ml|fluid used|cleaning fluid|ink used|flüssigkeit|reiniger|verbrauch",
    "done_by": "done by|erledigt von|gemacht von|by|who|operator|technician|name|person|wer|von"
    "|mitarbeiter|techniker|durch",
    "read_on": "date|day|reading date|read|when|datum|tag|ablesung|abgelesen am|wann",
    "area_m2": "area|m2|sqm|counter|total|running total|sq m|sq m printed|area printed|printed area"
    "|printed|meter|reading|total area|qm|fläche|zähler|zählerstand|gesamt|druckfläche|gedruckt"
    "|quadratmeter",
    "carried_m2": "carried|carried over|counters before|übertrag|zähler davor",
    "checked_on": "date|day|check date|checked|when|datum|tag|geprüft am|wann|prüfdatum",
    "channel": "ink|colour|color|kanal|farbe|tinte",
    "missing_nozzles": "missing|nozzles missing|nozzles lost|missing count|drop outs|dropouts"
    "|nozzles out"
    "|fehlende düsen|düsen fehlen|fehlend|düsen|ausfälle",
    "began_at": "began|from|start|started|start time|stopped|stopped at|down from|date|beginn|von"
    "|stillstand von|stillstand ab|steht seit"
    "|ab|gestoppt|datum",
    "began_pass": "began which pass|first or second time",
    "ended_pass": "ended which pass",
    "ended_at": "ended|to|until|end|end time|running again|runs again"
    "|runs again at|up again|ende|bis|läuft wieder"
    "|stillstand bis",
    "cause": "reason|why|problem|grund|ursache|problem",
    "scrap_cost": "scrap|waste cost|spoiled|spoilage|ausschuss|ausschusskosten",
    "moved_on": "date|day|moved|when|counted on|date counted|count date|day of count|stocktake on"
    "|inventory day|inventory date|date of inventory|inventurdatum|inventur am"
    "|datum|tag|wann|bewegung am|gezählt am",
    "quantity": "qty|how many|count|pieces|pcs|number|amount|moved|ordered|in and out|bewegt"
    "|menge|anzahl"
    f"|stück|stückzahl|{ON_THE_SHELF}",
    "reason": "why|movement|type|grund|art|bewegungsart",
    "counted": "counted pieces|pieces counted|stock counted|bestand gezählt",
    "best_before": "use by|use before|expiry|expires|expiry date|haltbar bis|mhd|ablaufdatum",
    "ordered_on": "ordered|order date|date|date ordered|bestellt|bestellt am|bestelldatum|datum",
    "expected_on": "expected|expected on|due|eta|promised|promised for|promised on|zugesagt"
    "|zugesagt für"
    "|delivery date|erwartet|erwartet am|liefertermin",
    "received_on": "received|received on|arrived|arrived on|came|came on|delivered|delivered on"
    "|gekommen|gekommen am"
    "|date received|erhalten|erhalten am|geliefert"
    "|geliefert am|eingang",
    "pack_size": "pack|pieces per pack|per pack|pcs per pack|packung|packungsgröße"
    "|stück pro packung",
    "lead_days": "lead time|delivery time|delivery days|lead|lieferzeit|lieferzeit tage",
    "lead_days_late": "late lead time|lead time late|longest delivery|lieferzeit spät"
    "|lieferzeit längstens",
    "shelf_life_days": "shelf life|keeps|haltbarkeit|haltbar|lagerdauer",
    "warranty_days": "warranty|garantie|gewährleistung",
    "replaced_with": "changed with|replaced along with|with|zusammen mit|mit",
    "typical_life_days": "typical life|life|lifetime|expected life|lasts|lebensdauer|standzeit"
    "|typische lebensdauer",
    "belief_failures": "belief|worth failures|gewicht",
    "hours_to_change": "hours|work hours|change time|stunden|arbeitszeit|wechselzeit",
    "recovery_minutes": "recovery|recovery time|cleans after change|nacharbeit|nacharbeit minuten",
    "refill_ml": "refill|ink to refill|nachfüllen|nachfüllmenge",
    "spoiled_per_failure": "spoiled per failure|scrap per failure|ausschuss je ausfall",
    "began_on": "closed from|first closed day|from|start|geschlossen ab|erster tag|von|ab|beginn",
    "ended_on": "closed to|closed until|last closed day|to|until|end|geschlossen bis|letzter tag"
    "|bis|ende",
    "every_days": "every|every days|days between|interval|days|interval days|alle tage|intervall"
    "|tage|alle",
    "every_m2": "every m2|every sqm|interval m2|m2|alle m2|alle qm",
    "starts_on": "from|start|starts|begin|first day|beginn|erster tag|valid from|ab|von|gültig ab",
    "ends_on": "to|until|end|ends|last day|ende|letzter tag|valid until|bis|gültig bis",
    "demanded": "required|mandatory|maker demands it|for the warranty|pflicht|vorgeschrieben"
    "|vom hersteller verlangt",
    "experiment": "trial|test|name of the trial|experiment name|versuch|versuchsname|name",
    "look_on": "look|interim look|first look|zwischenblick|zwischenstand",
    "noted_on": "date|day|when|datum|tag|wann",
    "humidity_percent": "humidity|rh|relative humidity|feuchte|luftfeuchte|luftfeuchtigkeit",
    "white_share_percent": "white share|white|white ink share|weißanteil|weiß",
    "ink_lot": "ink batch|lot of ink|tintencharge|charge tinte",
    "film_lot": "film batch|lot of film|filmcharge|charge film|foliencharge",
    "powder_lot": "powder batch|lot of powder|pulvercharge|charge pulver",
    "month": "month of review|review of|monat|monat der besprechung",
    "action": "to do|todo|what to do|zu tun|maßnahme",
    "assigned_to": "assigned|responsible|in charge|zuständig|verantwortlich",
    "written_on": "written|agreed on|geschrieben am|vereinbart am",
    "dropped_on": "dropped|cancelled|not needed|verworfen|entfallen|gestrichen",
    "place": "rank|priority|reihenfolge|rang|priorität",
    "made_from": "proposed from|vorgeschlagen aus",
    "name": "setting|einstellung",
    "value": "wert",
}

_DOWN = (
    "downtime|down time|time down|down|stood|stood still|stillstand|stillstandszeit"
    "|ausfall|ausfallzeit|parada|paro|tiempo parado|tiempo parada|tiempo de parada|arrêt"
    "|temps d arrêt|immobilisation|fermo|fermo macchina|tempo di fermo"
)

# Headings that mean a column once a unit stands with them; without one it is asked.
WITH_UNIT: dict[str, str] = {
    "hours_down": _DOWN,
    "hours_stood": f"{_DOWN}|duration|lasted|length|how long|hours|hrs|dauer|stunden|duración|horas"
    "|durée|heures|durata|ore",
}

# Words in cells beside those of the vocabulary; the value is the contract's word.
CELL_SYNONYMS: dict[str, str] = {
    "druckkopf": "head", "kopf": "head", "dämpfer": "damper", "daempfer": "damper",
    "wischer": "wiper", "abstreifer": "wiper", "kappe": "cap", "capping": "cap",
    "parkstation": "cap", "pumpe": "pump", "tintenpumpe": "pump", "schlauch": "line",
    "tintenleitung": "line", "leitung": "line", "encoderstreifen": "encoder", "walze": "roller",
    "rolle": "roller", "tintenfilter": "ink_filter", "leitungsfilter": "ink_filter",
    "line filter": "ink_filter", "rührer": "stirrer", "rührwerk": "stirrer",
    "weißrührer": "stirrer", "ink stirrer": "stirrer", "agitator": "stirrer",
    "umwälzpumpe": "circulation_pump", "zirkulationspumpe": "circulation_pump",
    "recirculation pump": "circulation_pump", "saugkissen": "waste_pad", "tintenkissen":
    "waste_pad", "restpad": "waste_pad", "ink pad": "waste_pad", "absorber pad": "waste_pad",
    "resttank": "waste_tank", "restflüssigkeitstank": "waste_tank",
    "clogged": "failed", "blocked": "failed", "leaking": "failed", "leaks": "failed",
    "torn": "failed", "cracked": "failed", "verstopft": "failed", "undicht": "failed",
    "ausgefallen": "failed", "defekt": "failed", "kaputt": "failed", "verschlissen": "failed",
    "broke": "failed", "fault": "failed", "defect": "failed", "defective": "failed",
    "nozzles dead": "failed", "dead nozzles": "failed",
    "moved": "planned", "umgesetzt": "planned", "trasladado": "planned",
    "unfall": "accident", "kopfschaden": "accident",
    "geplant": "planned", "planmäßig": "planned", "vorbeugend": "planned", "regular": "planned",
    "preventive maintenance": "planned",
    "mit anderem": "with_other", "mit kopf": "with_other", "mitgetauscht": "with_other",
    "replaced with head": "with_other", "drucker ausgemustert": "retired",
    "unbekannt": "unknown",
    "störung": "symptom", "stoerung": "symptom", "ungeplant": "symptom", "because of a symptom":
    "symptom", "trouble": "symptom", "needed": "symptom",
    "ja": "yes", "nein": "no",
    "erhalten": "received", "eingang": "received", "gekauft": "received", "delivered": "received",
    "bought": "received", "verbraucht": "used", "entnommen": "used", "taken": "used",
    "installed": "used", "gezählt": "counted", "inventur": "counted", "stocktake": "counted",
    "entsorgt": "scrapped", "weggeworfen": "scrapped",
    "stir ink": "stir_ink", "stir white": "stir_ink", "shake ink": "stir_ink",
    "shake white": "stir_ink", "weiß rühren": "stir_ink", "tinte rühren": "stir_ink",
    "test print": "nozzle_check", "düsentest": "nozzle_check", "clean head": "head_clean",
    "normal clean": "head_clean", "head cleaning": "head_clean", "kopfreinigung": "head_clean",
    "strong cleaning": "strong_clean", "deep clean": "strong_clean",
    "intensivreinigung": "strong_clean", "shake damper": "shake_dampers",
    "dämpfer schütteln": "shake_dampers", "clean wiper": "clean_wiper_cap",
    "clean cap": "clean_wiper_cap", "clean wiper and cap": "clean_wiper_cap",
    "wischer reinigen": "clean_wiper_cap", "flush": "flush_in_place",
    "flush head": "flush_in_place", "spülen": "flush_in_place", "kopf spülen": "flush_in_place",
    "empty waste tank": "empty_waste", "resttank leeren": "empty_waste",
    "clean encoder": "wipe_encoder", "encoder reinigen": "wipe_encoder",
    "clean feed rollers": "clean_rollers", "walzen reinigen": "clean_rollers",
    "humidifier": "humidify", "humidify room": "humidify", "fill humidifier": "humidify",
    "luft befeuchten": "humidify", "raum befeuchten": "humidify", "befeuchten": "humidify",
    "top up tank": "keep_tank_third", "top up ink": "keep_tank_third",
    "tank nachfüllen": "keep_tank_third", "tinte nachfüllen": "keep_tank_third",
    "flush before holiday": "flush_before_shutdown", "shutdown flush": "flush_before_shutdown",
    "spülen vor urlaub": "flush_before_shutdown",
    "spülen vor stillstand": "flush_before_shutdown",
    "submitted": "sent", "eingereicht": "sent", "gemeldet": "sent", "refunded": "credited",
    "gutgeschrieben": "credited", "erstattet": "credited", "rejected": "refused",
    "declined": "refused", "abgelehnt": "refused",
}  # fmt: skip

# Those of the words for a removal's reason that say more than the reason: how it failed.
TELL_HOW = {
    "strike", "head strike", "clogged", "blocked", "leaking", "leaks", "torn", "cracked", "worn",
    "nozzles dead", "dead nozzles", "moved", "umgesetzt", "trasladado", "verstopft", "undicht",
    "verschlissen", "kopfschaden", "usé", "usée", "usurato", "obstruido", "obstruida", "atascado",
    "gotea", "bouché", "bouchée", "fuit",
    "intasato", "intasata", "perde", "inyectores muertos", "gastado", "gastada", "choc", "golpe",
    "urto", "tapado", "tapada", "atascada", "pierde", "fuga", "pierde vacío", "no hace vacío",
    "no aspira", "filtro sucio", "filtro tapado", "inyectores tapados", "quemado",
}  # fmt: skip
