"""What people write for parts, tasks and marks in five languages, as patterns over bare words.

English, German, Spanish, French, Italian; the patterns are matched against ``months.bare`` text
(lower case, no accents). Common practice of the trade, no source.
"""

from __future__ import annotations

# Part kind → the words for it. The first that is found counts, so the narrower come first.
PARTS: tuple[tuple[str, str], ...] = (
    ("circulation_pump", r"(re)?circulation pumps?|umwalzpumpen?|zirkulationspumpen?"
     r"|bombas? de (re)?circulacion|pompes? de (re)?circulation|pomp[ae] di (ri)?circolo"),
    ("waste_pad", r"(waste |ink |absorber )?pads?|absorbers?|saugkissen|tintenkissen"
     r"|almohadillas?|tampons?( absorbants?)?|tamponi?"),
    ("waste_tank", r"waste( ink)?( tanks?| bottles?)?|resttank|abfalltank|restflussigkeitstank"
     r"|(deposito|tanque|botella) de (residuos|desecho)|(bac|bidon|reservoir) de (dechets|vidange"
     r"|recuperation)|(tanica|serbatoio|bottiglia) (di |degli )?(scarto|scarico|rifiuti)"),
    ("ink_filter", r"(ink |inline )?filters?|(tinten|leitungs)filter|filtros?|filtres?|filtri?"),
    ("stirrer", r"(ink )?stirrers?|agitators?|(weiss)?ruhrer|ruhrwerke?|agitador(es)?|agitateurs?"
     r"|agitator[ei]"),
    ("encoder", r"encoders?( strips?)?|encoderstreifen"
     r"|(tira|cinta|banda|regleta)s? (de |del )?(encoder|codificador)"
     r"|(bande|regle|ruban) (d )?encodeur|encodeurs?|striscia encoder|codificador"),
    ("roller", r"(feed )?rollers?|(andruck|vorschub)?(walzen?|rollen?)|rodillos?|rouleaux?|galets?"
     r"|rull[oi]"),
    ("wiper", r"wipers?( blades?)?|blades?|(ab)?wischer(blatt)?|abstreifer|wischlippe"
     r"|limpiador(es)?|rasquetas?|racl(e|ette|eur)s?|essuyeurs?|spatol[ae]|tergitestin[ae]|tergicristall[oi]"
     r"|spazzol[ae]"),
    ("cap", r"caps?( tops?)?|capping( station)?s?|kappen?|parkstation|capuchons?|bouchons?"
     r"|station de (capping|repos|bouchage)|estacion de (sellado|capping|reposo|tapado)"
     r"|tapon(es)?|tapas?|capsul[ae]|cappucci?o?|stazione di (capping|riposo|chiusura)|tapp[oi]"),
    ("line", r"(ink )?(lines?|tubes?|hoses?)|(tinten)?(schlauch|schlauche|leitung|leitungen)"
     r"|(tubo|manguera|linea)s?( de tinta)?|tuyaux?|tub[oi]"),
    ("pump", r"(ink )?pumps?|(tinten)?pumpen?|bombas?( de tinta)?|pompes?( a encre| d encre)?"
     r"|pomp[ae]( inchiostro)?"),
    ("damper", r"(ink )?dampers?|dampfern?|daempfern?|amortiguador(es)?( de tinta)?|amortisseurs?"
     r"|smorzator[ei]|ammortizzator[ei]"),
    ("head", r"(print ?)?heads?|(druck)?kopfe?s?|cabezal(es)?( de impresion)?"
     r"|tetes?( d impression)?|testin[ae]( di stampa)?|test[ae] di stampa"),
)  # fmt: skip

_CLEAN = (
    r"(clean\w*|\w*reinig\w*|\w*sauber\w*|\w*putz\w*|wip(e|ed|ing)|\w*gewischt|wischen|limpi(?!ador)\w*"
    r"|nettoy\w*|essuy\w*|puli\w*|clean)"
)
_SHAKE = (
    r"(shak\w*|shook|\w*schuttel\w*|agit(ar|ado|ados|er|e|es|ee|ees|are|ati|ato|ata|ate|a)?"
    r"|sacud\w*|secou\w*|scuot\w*|scoss\w*)"
)
_STIR = (
    r"(stir(red|ring)?|mix(ed|ing)?|\w*ruhren|\w*geruhrt|umruhren|aufruhren|remov(er|ido|ida)"
    r"|remu(er|e)|melang\w*|mescol\w*|mezclar|mezclad[oa]|mezcla)"
)
_WHITE = (
    r"(white|inks?|\w*tinte|\w*weiss\w*|tintas?|blanc[oa]?|blanche|encres?|bianc[oa]"
    r"|inchiostr[oi])"
)
_DAMPER = (
    r"(dampers?|dampfern?|daempfern?|amortiguador(es)?|amortisseurs?|smorzator[ei]"
    r"|ammortizzator[ei])"
)
_HEAD = r"((print ?)?heads?|\w*kopf\w*|cabezal(es)?|tetes?|testin[ae])"
_FLUSH = (
    r"(flush\w*|\w*spul(en|t|ung)\w*|enjuag\w*|purg\w*|rinc\w*|risciacqu\w*|lavaggi\w*"
    r"|lavar?)"
)
_EMPTY = r"(empt\w*|\w*leer\w*|vaci\w*|vid(e|er|ee|ange)\w*|svuot\w*)"
_STRONG = (
    r"(strong\w*|deep|power|heavy|\w*intensiv\w*|stark\w*|profund\w*|fuerte|forte?|intens\w*"
    r"|approfond\w*)"
)
# Task → the word groups that must all stand in the text, and how sure they make it. The first
# that is found counts.
TASKS: tuple[tuple[str, tuple[str, ...], float], ...] = (
    ("nozzle_check", (r"(nozzle (check|test)s?|test ?prints?|dusen(test|prufung|check)s?|testdruck"
     r"|(test|prueba|control) (de )?(los )?(inyectores|boquillas)|(test|controle) (de |des )?buses"
     r"|(test|controllo|verifica) (degli )?ugelli)",), 0.95),
    ("shake_dampers", (_SHAKE, _DAMPER), 0.95),
    ("shake_dampers", (_DAMPER, r"(air|entluft\w*|luft|aire|aria|bleed|bled|purg\w*)"), 0.92),
    ("stir_ink", (rf"({_STIR}|{_SHAKE})", _WHITE), 0.95),
    ("stir_ink", (_STIR,), 0.92),
    ("flush_before_shutdown", (_FLUSH, r"(shutdown|holiday|urlaub|stillstand|vacaciones|conges"
     r"|vacances|ferie|fermo)"), 0.95),
    ("flush_removed", (_FLUSH, r"(taken out|removed|ausgebaut\w*|desmontad[oa]|demonte\w*"
     r"|smontat[oa])"), 0.95),
    ("empty_waste", (_EMPTY, r"(waste|tank\w*|bottle|\w*rest\w*|abfall\w*|residuos|deposito|dechets"
     r"|bac|bidon|tanica|scart[oi]|serbatoio)"), 0.95),
    ("empty_waste", (_EMPTY,), 0.7),
    ("empty_waste", (r"(resttank|waste)", r"(leer|out|voll)"), 0.9),
    ("wipe_encoder", (_CLEAN, r"(encod\w*|codificador)"), 0.95),
    ("clean_rollers", (_CLEAN, r"(roll(er|ers|en)|\w*walzen?|rodillos?|rouleaux?|rull[oi])"), 0.95),
    ("strong_clean", (_STRONG, rf"({_CLEAN}|{_HEAD})"), 0.95),
    ("clean_wiper_cap", (_CLEAN, r"(wipers?|wischer|abstreifer|limpiador(es)?|rasquetas?"
     r"|racl(e|ette|eur)s?|spatol[ae]|tergitestin[ae]|caps?|capping|kappen?|parkstation"
     r"|capuchons?|tapon(es)?|tapas?|estacion|station|cappuccio|stazione)"), 0.95),
    ("clean_wiper_cap", (r"(wischer\w*|kappen)reinigung",), 0.95),
    ("flush_in_place", (_FLUSH,), 0.92),
    ("head_clean", (_CLEAN, _HEAD), 0.95),
    ("head_clean", (r"(kopf\w*reinigung|head ?clean\w*)",), 0.95),
    ("humidify", (r"(humidif\w*|\w*befeucht\w*|humedec\w*|umidific\w*)",), 0.95),
    ("keep_tank_third", (r"(top(ped)? up|refill\w*|\w*nachfull\w*|\w*nachgefullt|rellen\w*"
     r"|rempli\w*|riempi\w*|rabbocc\w*)",), 0.95),
    ("shake_dampers", (_SHAKE,), 0.7),
    ("head_clean", (_CLEAN,), 0.7),
)  # fmt: skip
# Said of a part in a calendar without a verb, the task that is likely meant: to be confirmed.
TASK_OF_PART = {
    "damper": "shake_dampers", "wiper": "clean_wiper_cap", "cap": "clean_wiper_cap",
    "head": "head_clean", "encoder": "wipe_encoder", "roller": "clean_rollers",
    "waste_tank": "empty_waste", "stirrer": "stir_ink",
}  # fmt: skip

# Words beside a part that say it was put in or changed.
CHANGED = (
    r"(change[ds]?|changing|replac\w*|swap\w*|new|renew\w*|exchang\w*|\w*gewechselt|\w*wechsel\w*"
    r"|\w*tausch\w*|neu(e|er|es|en)?|erneuert|cambi\w*|re(e)?mplaz\w*|sustitu\w*|nuev[oa]s?"
    r"|changee?s?|changement|remplac\w*|nouve\w*|neu(f|fs|ve|ves)|sostitu\w*|nuov[oaie])"
)
# The same as the name of a job, which may be a task of the workshop's own.
TO_CHANGE = (
    r"(change|replace|swap|renew|exchange|install|fit|\w*wechseln|\w*tauschen|erneuern|einbauen"
    r"|cambiar|re(e)?mplazar|sustituir|instalar|colocar|changer|remplacer|installer|monter|poser"
    r"|cambiare|sostituire|installare|montare)"
)
INSTALLED = (
    r"(install\w*|fitted|mounted|put in|\w*eingebaut\w*|\w*einbau\w*|montiert|montad[oa]s?"
    r"|colocad[oa]s?|poses?|posees?|monte(s|e|es)?|montat[oaie]|in)"
)
# Words beside a part that say it came out.
CAME_OUT = (
    r"(out|removed|took out|\w*ausgebaut|\w*ausbau|raus|retirad[oa]s?|quitad[oa]s?|desmontad[oa]s?"
    r"|retire(e|s|es)?|depose(e|s|es)?|demonte(e|s|es)?|rimoss[oaie]|smontat[oaie]|tolt[oaie])"
)
# Words that say nothing of which part or task it is.
FILLERS = (
    r"(the|of|on|last|date|day|am|vom|zuletzt|letzter?|datum|de|del|la|el|los|las|fecha|ultim[oa]"
    r"|le|les|du|des|date|dernier|dernier[es]|il|lo|i|gli|data|ultim[oa]|all|alle|todos?|todas?"
    r"|tous|toutes|tutti|tutte|set|satz|juego|jeu|and|und|y|et|e)"
)
INKS = {
    "W": r"(white|weiss\w*|blanc[oa]?|blanche|bianc[oa])",
    "C": r"(cyan|cian|ciano)",
    "M": r"(magenta)",
    "Y": r"(yellow|gelb\w*|amarill[oa]|jaune|giall[oa])",
    "K": r"(black|schwarz\w*|negr[oa]|noire?|ner[oa])",
}

TOTALS = (
    r"((grand |sub ?|zwischen|gesamt)?(total\w*|summen?|sum)|tot|ges|σ|gesamt\w*|insgesamt"
    r"|somme|suma|somma|totale|average|mean|mittelwert|durchschnitt|moyenne|media|promedio|anzahl"
    r"|count|nombre|numero|how often|wie oft)"
)
DONE_MARKS = frozenset(
    ("x", "xx", "✓", "✔", "√", "☑", "ok", "o.k.", "yes", "ja", "j", "y", "si", "sí", "sì", "oui",
     "done", "erledigt", "hecho", "fait", "fatto", "•", "●", "*", "+", "v", "✗", "✘", "true",
     "wahr", "vrai", "vero", "verdadero")
)  # fmt: skip
NOT_DONE_MARKS = frozenset(
    ("", "-", "–", "—", "--", "/", "0", "no", "nein", "n", "non", "not", "n/a", "na", "false",
     "falsch", "faux", "falso", "☐", "○", "nicht", "none")
)  # fmt: skip

PRINTER_NOISE = (
    r"(printers?|machines?|units?|druckern?|maschinen?|gerat|impresoras?|maquinas?|imprimantes?"
    r"|stampant[ei]|macchin[ae]|one|ones|no|nr|number|nummer|numero|num|the|der|die|das|la|le|el"
    r"|il|lo|l)"
)

# Words in the place of a printer's name that mean all printers there are.
EVERY_PRINTER = (
    r"(both|all|every|each|beide|alle|jeder?|ambas|ambos|(las |los )?dos|todas?|todos?|tous|toutes"
    r"|(les )?deux|chaque|entrambe?|entrambi|tutt[ei])"
    r"( (of )?(them|the|las|los|les|le|i|gli|(two )?"
    r"(printers?|machines?|druckern?|maschinen?|gerate?|impresoras?|maquinas?|imprimantes?"
    r"|stampanti|macchine)))*"
)

# What stands in the place of the day on which a part went in where nobody wrote the day down.
NO_FITTING_DAY = (
    r"((was |were )?(already )?(in |there |fitted )*(before|earlier|already)"
    r"( (the|this|our|we|these|log|list|book|notes|records?|start|began|started))*"
    r"|(was |were )?already (in|there|fitted)|from the (start|beginning)"
    r"|came with (it|the (printer|machine))|((day|date) )?unknown"
    r"|(war )?(schon |bereits )?(vorher|davor|schon|bereits)( drin| da| eingebaut)?"
    r"|(war )?(schon|bereits) (drin|da|eingebaut)|vor beginn|unbekannt"
    r"|(ya )?(estaba|estaba (antes|ya)|(de )?antes( del registro)?)|desconocid[oa]"
    r"|(deja (en place|monte)|avant|inconnue?)|(gia (montat[oa]|presente)|prima|sconosciut[oa]))"
)

# Words over a list that say that what lies on the shelf was counted.
COUNTED = (
    r"(?<![^ ])(counted|count( date)?|day of count|stocktake|inventory (day|date|count)|gezahlt"
    r"|inventur\w*|contad[oa]s?|recuento|inventario|comptee?s?|inventaire|contat[oaie])(?![^ ])"
)

# Heads a column of all that stands beside it.
OF_ALL = rf"{TOTALS}|{EVERY_PRINTER}"

# Words over a table that say that areas stand in it.
SAYS_AREA = (
    r"(?<![^ ])(square (met(er|re)s?|feet)|sq ?m|sq ?ft|m2|ft2|qm|quadratmeter|metros cuadrados"
    r"|metres carres|metri quadrati)(?![^ ])"
)

# Words that mean a part in all its places.
WHOLE_SET = (
    r"(all|set|whole set|full set|dampers|lines|tubes|hoses|heads|alle|satz|ganzer satz|komplett"
    r"|schlauche|kopfe|todos|todas|juego|amortiguadores|mangueras|cabezales|tous|toutes|jeu"
    r"|amortisseurs|tuyaux|tetes|tutti|tutte|smorzatori|ammortizzatori|tubi|testine)"
)

MONTH_HEADERS = r"(months?|monat|mes|mois|mese)"
