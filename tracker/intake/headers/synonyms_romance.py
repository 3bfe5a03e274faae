"""What workshops call the contract's columns and words, in Spanish, French and Italian.

Beside the English and German of ``synonyms``; common practice of the trade, no source.
"""

from __future__ import annotations

_HOURS_DOWN = (
    "horas parada|horas parado|horas de parada|horas paradas|horas de paro"
    "|heures arrêt|heures d arrêt|heures arrêtée|arrêt heures|ore fermo|ore ferma|ore di fermo"
    "|fermo ore|ore fermo macchina|fermo macchina ore"
)

HEADERS: dict[str, str] = {
    "printer": "impresora|máquina|imprimante|appareil|stampante|macchina|equipo",
    "site": "ubicación|sede|local|nave|dónde está|emplacement|site|lieu|sede|posizione",
    "part_kind": "qué|qué pieza|artículo|quoi|article|cosa|articolo|pieza|repuesto|componente"
    "|pièce|composant|pezzo|ricambio|parte|consumible",
    "head_type": "cabezal|tipo de cabezal",
    "position": "posición|lugar|sitio|canal|color|emplacement|couleur|posizione|posto|canale"
    "|colore",
    "fitted_on": "puesta|puesto|puesta el|puesto el|colocada|colocado|colocado el|montada"
    "|instalada|fecha de montaje|entró|entró el|fecha de entrada|instalado|instalado el|montado"
    "|montado el|fecha de instalación|installé"
    "|installé le|posé|posé le|monté le|date de pose|installato|installato il|montato|montato il"
    "|data montaggio",
    "removed_on": "quitada|quitada el|quitado el|retirada|desmontada|sacada|sacado|salió"
    "|fecha de retirada|fecha de salida|baja|fecha de baja|retirado|retirado el|quitado"
    "|desmontado|retiré|retiré le|déposé|démonté"
    "|démonté le|rimosso|rimosso il|smontato|smontato il|tolto",
    "removal_reason": "motivo del cambio|motivo de retirada|por qué se quitó|por qué se cambió"
    "|por qué|por qué salió|pourquoi|perché|motivo|motivo de salida|razón|motif"
    "|raison|causa|cause",
    "failure_mode": "tipo de avería|modo de avería|tipo de fallo|qué falló|fallo|modo de fallo"
    "|avería|défaut|panne|guasto|difetto",
    "serial": "n º de serie|nº de serie|n º de serie nuevo|número de serie nuevo"
    "|nuevo número de serie"
    "|número de serie|numéro de série|numero di serie|matricola",
    "serial_out": "n º de serie antiguo|nº de serie antiguo|n º de serie viejo|nº de serie viejo"
    "|número de serie antiguo|ancien numéro de série|numéro de série ancien|ancien n de série"
    "|numero di serie vecchio|vecchio numero di serie|matricola vecchia|vecchia matricola",
    "hours_down": _HOURS_DOWN,
    "hours_stood": _HOURS_DOWN,
    "supplier": "proveedor|fournisseur|fornitore",
    "batch": "lote|lot|lotto",
    "unit_cost": "precio por unidad|precio unitario|prix unitaire|prezzo unitario|precio|coste"
    "|costo|prix|coût"
    "|prezzo",
    "note": "nota|notas|observaciones|comentario|remarque|remarques|commentaire|note|osservazioni"
    "|commento|annotazioni",
    "task": "tarea|trabajo|mantenimiento|acción|tâche|travail|entretien|maintenance|intervention"
    "|attività|lavoro|manutenzione|intervento|qué|quoi|cosa",
    "done_on": "fecha|día|date|jour|fait le|data|giorno|hecho el|fatto il|cuándo|quand|quando",
    "why": "motivo|razón|por qué|motif|raison|pourquoi|perché",
    "minutes": "minutos|tiempo|duración|minutes|durée|temps|minuti|durata|tempo",
    "fluid_ml": "líquido|liquide|liquido",
    "done_by": "hecho por|fait par|fatto da|quién|por|operario|técnico|qui|par|opérateur"
    "|technicien|chi|operatore"
    "|tecnico|nombre|nom|nome",
    "read_on": "fecha|día|date|jour|data|giorno|leído el|relevé le|letto il",
    "area_m2": "superficie|área|contador|metros cuadrados|surface|compteur|total imprimé|area"
    "|contatore|metri quadri|totale stampato",
    "checked_on": "fecha|día|date|jour|data|giorno",
    "channel": "canal|color|tinta|couleur|encre|canale|colore|inchiostro",
    "missing_nozzles": "inyectores perdidos|inyectores tapados|boquillas que faltan"
    "|boquillas tapadas|inyectores faltantes|boquillas faltantes|faltan|buses manquantes|manquants"
    "|ugelli mancanti|mancanti|boquillas perdidas|buses perdues|ugelli persi",
    "began_at": "parada desde|parado desde|paró|se paró|inicio de la parada|inicio|desde|comienzo"
    "|début|depuis|inizio|da|dal",
    "cause": "causa|motif",
    "ended_at": "vuelve a funcionar|volvió a funcionar|arrancó|fin de la parada|fin|hasta|jusqu à"
    "|fine|fino a|a",
    "moved_on": "fecha|día|date|jour|data|giorno|contado el|compté le|contato il",
    "quantity": "cuántas|cuántos|combien|quanti|cantidad|unidades|quantité|nombre|quantità|pezzi"
    "|piezas",
    "reason": "motivo|movimiento|motif|mouvement|movimento",
    "lead_days": "plazo|plazo días|plazo de entrega|días de entrega|délai|délai de livraison"
    "|jours de livraison|tempi di consegna|giorni di consegna",
    "ordered_on": "pedido|pedido el|fecha de pedido|commandé|commandé le|ordinato|ordinato il",
    "expected_on": "prometido|prometido para|promis|promis pour|promesso|promesso per|esperado"
    "|previsto|entrega prevista|prévu|attendu|livraison prévue|previsto il",
    "received_on": "llegó|llegó el|llegado|llegado el|arrivé|arrivé le|arrivato il|recibido"
    "|recibido el|reçu|reçu le|ricevuto|ricevuto il|arrivato",
    "started_on": "en marcha desde|en marche depuis|in funzione dal|desde|en servicio desde"
    "|primer día|depuis|en service depuis|dal|in servizio dal",
    "experiment": "ensayo|prueba|essai|prova|esperimento",
    "every_days": "cada días|intervalo|intervalle|intervallo|ogni giorni|tous les jours",
    "starts_on": "desde|inicio|début|depuis|inizio|dal",
    "ends_on": "hasta|fin|jusqu à|fine|fino a|al",
    "began_on": "día de cierre|día cerrado|festivo|día festivo|primer día cerrado"
    "|inicio del cierre|du|del|dal|desde|cerrado desde|fermé du|chiuso dal",
    "ended_on": "último día cerrado|fin del cierre|au|al|hasta|cerrado hasta|fermé au|chiuso al"
    "|fino a",
    "month": "mes|mois|mese",
    "powder_lot": "lote del polvo|lote de poliamida",
    "ink_lot": "lote de la tinta",
    "film_lot": "lote del film|lote de película",
    "humidity_percent": "humedad|humedad relativa|humedad hr|humidité|umidità",
    "last_ok_on": "último día bien|última prueba buena|última vez bien",
    "retired_on": "vendida|vendida el|baja|dada de baja|fecha de baja",
    "channels": "tintas|canales de tinta",
}  # fmt: skip

CELL_SYNONYMS: dict[str, str] = {
    "planificado": "planned", "programado": "planned", "preventivo": "planned", "rutina": "planned",
    "planifié": "planned", "prévu": "planned", "préventif": "planned", "routine": "planned",
    "pianificato": "planned", "programmato": "planned", "preventiva": "planned",
    "problema": "symptom", "avería": "symptom", "síntoma": "symptom", "problème": "symptom",
    "panne": "symptom", "symptôme": "symptom", "sintomo": "symptom", "guasto": "symptom",
    "roto": "failed", "averiado": "failed", "fallo": "failed", "cassé": "failed", "usé": "failed",
    "en panne": "failed", "rotto": "failed", "usurato": "failed", "gastado": "failed",
    "con otra": "with_other", "con otra pieza": "with_other", "con el cabezal": "with_other",
    "junto con el cabezal": "with_other", "con cabezal": "with_other",
    "accidente": "accident", "incidente": "accident", "desconocido": "unknown",
    "inconnu": "unknown",
    "sconosciuto": "unknown",
    "recibido": "received", "reçu": "received", "ricevuto": "received", "usado": "used",
    "utilisé": "used", "usato": "used", "contado": "counted", "compté": "counted",
    "contato": "counted",
}  # fmt: skip

# Words that say trouble where a task was done and a failure where a part came out.
REMOVALS: dict[str, str] = {
    "guasto": "failed", "difettoso": "failed", "panne": "failed", "avería": "failed",
    "défectueux": "failed", "défaillant": "failed", "defectuoso": "failed", "estropeado": "failed",
    "obstruido": "failed", "obstruida": "failed", "atascado": "failed", "gotea": "failed",
    "inyectores muertos": "failed", "bouché": "failed", "bouchée": "failed", "fuit": "failed",
    "intasato": "failed", "intasata": "failed", "perde": "failed",
    "cassée": "failed", "usée": "failed", "rota": "failed", "averiada": "failed",
    "rotta": "failed", "incidente": "accident", "accident": "accident", "urto": "accident",
    "choc": "accident", "golpe": "accident", "gastada": "failed", "tapado": "failed",
    "tapada": "failed", "atascada": "failed", "pierde": "failed", "fuga": "failed",
    "pierde vacío": "failed", "no hace vacío": "failed", "no aspira": "failed",
    "filtro sucio": "failed", "filtro tapado": "failed", "inyectores tapados": "failed",
    "se rompió": "failed", "quemado": "failed",
}  # fmt: skip
