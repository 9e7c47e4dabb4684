"""What columns and cells of a shop's own sheets are called, in five languages of the trade.

Words stand in small letters without accents, ``ss`` for a sharp s, one blank between them, as
`plain_words` makes them. A word that is added here is understood everywhere.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from trials.model import End, PeckMode, Substrate

FieldName = Literal[
    "label", "drill", "material", "diameter_mm", "depth_mm", "speed_m_per_min", "rpm",
    "feed_mm_per_rev", "feed_rate_mm_per_min", "peck_mode", "peck_depth_mm", "holes", "life",
    "life_m", "end", "vb_average_mm", "vb_maximum_mm", "corner_chipping_mm", "margin_chipping_mm",
    "load_fresh_pct", "load_worn_pct", "cycle_min", "regrinds_done", "date", "batch", "machine",
    "note",
]  # fmt: skip
Kind = Literal["text", "number", "whole", "date", "end", "peck_mode"]

_LENGTH = {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "zoll": 25.4,
           "um": 1e-3, "µm": 1e-3, "μm": 1e-3, "micron": 1e-3, "thou": 0.0254, "mil": 0.0254,
           "pouce": 25.4, "pulgada": 25.4, "pollici": 25.4}  # fmt: skip
_FEED = {
    **dict.fromkeys(("mm/rev", "mm/u", "mm/umdr", "mm/umdr.", "mm/r", "mm/tr", "mm/giro",
                     "mm/vuelta", "mm/rpm", "mm/1", "mm"), 1.0),
    **dict.fromkeys(("in/rev", "ipr", "in/r", "inch/rev", '"/rev', "inch"), 25.4),
}  # fmt: skip
UNITS: dict[str, dict[str, float]] = {
    "mm": _LENGTH,
    "m": {"m": 1.0, "ft": 0.3048, "mm": 1e-3},
    "m/min": {"m/min": 1.0, "m/mn": 1.0, "m/min.": 1.0, "m/s": 60.0,
              **dict.fromkeys(("sfm", "sfpm", "ft/min", "fpm", "feet/min"), 0.3048)},
    "mm/rev": _FEED,
    "mm/min": {"mm/min": 1.0, "mm/mn": 1.0, "mm/min.": 1.0, "m/min": 1000.0, "ipm": 25.4,
               "in/min": 25.4, "inch/min": 25.4},
    "1/min": dict.fromkeys(("1/min", "rpm", "min-1", "min^-1", "min⁻¹", "/min", "u/min", "tr/min",
                            "giri/min", "g/min", "rev/min", "r/min", "upm", "t/min"), 1.0),
    "%": dict.fromkeys(("%", "pct", "percent", "prozent", "% load"), 1.0),
    "min": {"min": 1.0, "s": 1 / 60, "sec": 1 / 60, "sek": 1 / 60, "h": 60.0, "mn": 1.0,
            "seg": 1 / 60},
    "count": dict.fromkeys(("holes", "stk", "stuck", "stueck", "pcs", "st", "pz", "-", "bohrungen",
                            "trous", "fori", "agujeros", "x", "n", "#", "pce", "uds"), 1.0),
}  # fmt: skip
# What a column without a unit is in where a shop works in inches.
INCH_HABIT = {"mm": "in", "m/min": "sfm", "mm/rev": "ipr", "mm/min": "ipm", "m": "ft"}


@dataclass(frozen=True, slots=True)
class SheetField:
    """What a column can hold.

    Args:
        means: in plain words.
        kind: how its cells are read; unit: inside unit of a number, a key of `UNITS`.
        span: lowest and highest value that is accepted, in that unit.
        usual: values outside it make one doubt the column.
        words: what it may be called.
    """

    means: str
    kind: Kind
    words: tuple[str, ...]
    unit: str = ""
    span: tuple[float, float] = (0.0, 1e9)
    usual: tuple[float, float] = (0.0, 1e9)


def _words(text: str) -> tuple[str, ...]:
    return tuple(" ".join(word.split()) for word in text.split(","))


FIELDS: dict[FieldName, SheetField] = {
    "label": SheetField("name of the run in the sheet", "text", _words(
        "run, run no, run number, test, test no, trial, trial no, no, nr, id, versuch, versuch nr, "
        "versuchsnummer, lfd nr, essai, essai no, ensayo, ensayo no, prova, prova n, serie")),
    "drill": SheetField("drill", "text", _words(
        "drill, drill name, drill type, drill no, tool, tool name, tool type, tool id, tool no, "
        "bohrer, bohrertyp, werkzeug, bohrwerkzeug, werkzeugtyp, werkzeug nr, wkz, foret, outil, "
        "broca, herramienta, punta, punta elicoidale, utensile")),
    "material": SheetField("work material", "text", _words(
        "material, work material, workpiece material, workpiece, werkstoff, material werkstuck, "
        "werkstuckstoff, matiere, materiau, matiere usinee, material de trabajo, materiale")),
    "diameter_mm": SheetField("hole diameter", "number", _words(
        "diameter, dia, hole diameter, hole dia, drill diameter, drill dia, d, dc, ø, ⌀, "
        "durchmesser, bohrdurchmesser, bohrungsdurchmesser, diametre, diametre du trou, diametro, "
        "diametro del agujero, diametro foro"), "mm", (0.05, 200), (0.2, 120)),
    "depth_mm": SheetField("hole depth", "number", _words(
        "depth, hole depth, drilling depth, tiefe, bohrtiefe, lochtiefe, bohrungstiefe, "
        "profondeur, profondeur du trou, profondeur de percage, profundidad, "
        "profundidad del agujero, profondita, profondita foro"), "mm", (0.01, 5000), (0.5, 2000)),
    "speed_m_per_min": SheetField("speed", "number", _words(
        "speed, cutting speed, surface speed, vc, v c, v, sfm, schnittgeschwindigkeit, "
        "schnittgeschw, schnittgeschwindigkeit vc, vitesse de coupe, vitesse coupe, "
        "velocidad de corte, velocidad corte, velocita di taglio, velocita taglio"),
        "m/min", (0.01, 2000), (2, 1000)),
    "rpm": SheetField("spindle speed", "number", _words(
        "rpm, spindle speed, spindle rpm, n, s, drehzahl, spindeldrehzahl, vitesse de rotation, "
        "vitesse broche, frequence de rotation, revoluciones, velocidad de giro, "
        "velocidad del husillo, giri, numero di giri, giri mandrino"), "1/min", (1, 500_000),
        (20, 200_000)),
    "feed_mm_per_rev": SheetField("feed", "number", _words(
        "feed, feed per rev, feed per revolution, feed rev, f, fn, f n, vorschub, "
        "vorschub pro umdrehung, vorschub je umdrehung, vorschub f, avance, avance par tour, "
        "avance tour, avance por vuelta, avance por revolucion, avanzamento, avanzamento al giro, "
        "avanzamento giro, ipr"), "mm/rev", (1e-5, 5), (0.001, 3)),
    "feed_rate_mm_per_min": SheetField("feed rate", "number", _words(
        "feed rate, feedrate, table feed, vf, v f, vorschubgeschwindigkeit, vorschubgeschw, "
        "vorschub vf, vitesse d avance, vitesse avance, velocidad de avance, "
        "velocita di avanzamento, velocita avanzamento, ipm, feed, vorschub, avance, avanzamento"),
        "mm/min", (0.01, 1e5), (5, 50_000)),
    "peck_mode": SheetField("pecking", "peck_mode", _words(
        "pecking, peck mode, peck type, peck cycle, chip break, chip breaking, entspanen, "
        "spanbruch, ausspanen, bohrzyklus, debourrage, brise copeau, picoteo, rompeviruta, "
        "scarico trucioli, rompitruciolo")),
    "peck_depth_mm": SheetField("peck depth", "number", _words(
        "peck, peck depth, q, pecking depth, spantiefe, bohrhub, hubtiefe, tiefe pro hub, "
        "zustelltiefe, profondeur de debourrage, profondeur de passe, passe de debourrage, "
        "profundidad de picoteo, paso de picoteo, passo, profondita di passata"),
        "mm", (0.001, 5000), (0.05, 500)),
    "holes": SheetField("holes drilled", "whole", _words(
        "holes, holes drilled, number of holes, no of holes, hole count, bohrungen, locher, "
        "loecher, anzahl bohrungen, anzahl locher, anzahl loecher, bohrungen gesamt, lochzahl, "
        "bohrungszahl, trous, nombre de trous, nb trous, trous perces, agujeros, "
        "numero de agujeros, taladros, numero de taladros, fori, numero fori, numero di fori, "
        "nr fori, fori eseguiti"), "count", (0, 10_000_000)),
    "life": SheetField("holes until worn", "whole", _words(
        "life, tool life, drill life, life holes, holes per drill, holes per edge, holes per tool, "
        "holes to wear, standmenge, standzahl, bohrungen pro bohrer, bohrungen pro werkzeug, "
        "duree de vie, tenue, trous par foret, vida, vida util, vida de la herramienta, durata, "
        "durata utensile, fori per punta"), "count", (1, 10_000_000)),
    "life_m": SheetField("length drilled until worn", "number", _words(
        "standweg, bohrweg, drilled length, life length, longueur percee, longitud taladrada, "
        "lunghezza forata"), "m", (0.001, 1e6)),
    "end": SheetField("how it ended", "end", _words(
        "end, end of run, end of life, how it ended, ended by, reason, reason for change, result, "
        "failure, failure mode, criterion, ende, grund, wechselgrund, ausfallgrund, standzeitende, "
        "standkriterium, ergebnis, fin, fin de vie, cause, motif, motif de fin, resultat, causa, "
        "motivo, resultado, fin de vida, fine, esito, causa fine, motivo fine")),
    "vb_average_mm": SheetField("wear, VB average", "number", _words(
        "vb, wear, flank wear, vb average, average wear, vbb, vb mean, verschleiss, "
        "freiflachenverschleiss, freiflaechenverschleiss, verschleissmarkenbreite, vb mittel, "
        "usure, usure en depouille, usure moyenne, desgaste, desgaste de flanco, desgaste medio, "
        "usura, usura sul fianco, usura media"), "mm", (0, 10), (0, 3)),
    "vb_maximum_mm": SheetField("wear, VB maximum", "number", _words(
        "vb max, vbmax, vb maximum, maximum wear, max wear, max flank wear, verschleiss max, "
        "maximaler verschleiss, usure max, usure maximale, desgaste max, desgaste maximo, "
        "usura max, usura massima"), "mm", (0, 10), (0, 3)),
    "corner_chipping_mm": SheetField("chipping at the corner", "number", _words(
        "corner chipping, corner wear, eckenausbruch, eckenverschleiss, ecaillage du bec, "
        "usure du bec, astillado de esquina, scheggiatura spigolo"), "mm", (0, 10), (0, 3)),
    "margin_chipping_mm": SheetField("chipping at the margin", "number", _words(
        "margin chipping, margin wear, fasenausbruch, fasenverschleiss, ecaillage du listel, "
        "astillado del margen, scheggiatura del margine"), "mm", (0, 10), (0, 3)),
    "load_fresh_pct": SheetField("load, fresh", "number", _words(
        "load fresh, fresh load, load new, load start, start load, initial load, "
        "spindle load start, spindle load new, load sharp, sharp load, spindle load fresh, "
        "last frisch, spindellast frisch, last scharf, last neu, last anfang, last beginn, "
        "spindellast neu, spindellast anfang, charge initiale, charge debut, charge neuf, "
        "carga inicial, carga nueva, carico iniziale, carico nuovo"), "%", (0, 1000), (1, 250)),
    "load_worn_pct": SheetField("load, worn", "number", _words(
        "load, load worn, worn load, load end, end load, peak load, max load, load max, "
        "spindle load, spindle load max, spindle load end, last, last max, last ende, spindellast, "
        "spindellast max, spindellast ende, spindelauslastung, auslastung, charge, charge broche, "
        "charge max, charge finale, charge de broche, carga, carga husillo, carga del husillo, "
        "carga maxima, carga final, carico, carico mandrino, carico massimo, carico finale"),
        "%", (0, 1000), (1, 250)),
    "cycle_min": SheetField("time of a hole", "number", _words(
        "cycle time, time per hole, hole time, cycle, taktzeit, zykluszeit, zeit pro bohrung, "
        "zeit je bohrung, bohrzeit, temps de cycle, temps par trou, temps cycle, tiempo de ciclo, "
        "tiempo por agujero, tempo ciclo, tempo di ciclo, tempo per foro"), "min", (1e-4, 1e4),
        (0.005, 60)),
    "regrinds_done": SheetField("regrinds before it", "whole", _words(
        "regrinds, regrinds done, regrind, resharpened, nachschliff, nachschliffe, "
        "anzahl nachschliffe, nachgeschliffen, reaffutage, reaffutages, reafilado, reafilados, "
        "riaffilatura, riaffilature"), "count", (0, 100)),
    "date": SheetField("day", "date", _words(
        "date, day, test date, datum, tag, versuchsdatum, jour, date d essai, fecha, dia, data, "
        "giorno")),
    "batch": SheetField("batch", "text", _words(
        "batch, heat, lot, batch no, lot no, heat no, charge, charge nr, chargennummer, "
        "schmelze, los, coulee, lote, colada, lotto, colata")),
    "machine": SheetField("machine", "text", _words(
        "machine, machine tool, maschine, anlage, machine outil, maquina, macchina")),
    "note": SheetField("note", "text", _words(
        "note, notes, remark, remarks, comment, comments, bemerkung, bemerkungen, anmerkung, "
        "anmerkungen, kommentar, remarque, remarques, commentaire, observations, nota, notas, "
        "observaciones, comentario, comentarios, osservazioni, commento")),
}  # fmt: skip

ENDS_CALLED: dict[End, tuple[str, ...]] = {
    "worn": _words("worn, worn out, wear, wear limit, vb, vb limit, verschlissen, verschleiss, "
                   "verschleissgrenze, abgenutzt, use, usee, usure, limite d usure, desgastado, "
                   "desgastada, desgaste, limite de desgaste, usurato, usurata, usura, "
                   "limite di usura"),
    "stopped": _words("stopped, stopped early, aborted, interrupted, still good, not worn, ok, io, "
                      "i o, abbruch, gestoppt, noch gut, vorzeitig beendet, arrete, arretee, "
                      "encore bon, parado, parada, "
                      "detenido, detenida, aun bueno, fermato, fermata, ancora buono"),
    "chipped": _words("chipped, chipping, edge chipped, ausbruch, ausgebrochen, "
                      "schneidenausbruch, ausbrockelung, ebreche, ebrechee, ecaille, ecaillage, "
                      "astillado, astillada, mellado, scheggiato, scheggiata, scheggiatura"),
    "broken": _words("broken, broke, breakage, snapped, bruch, gebrochen, werkzeugbruch, "
                     "bohrerbruch, casse, cassee, rupture, roto, rota, rotura, rotto, rotta, "
                     "rottura"),
    "out_of_tolerance": _words("out of tolerance, oversize, undersize, tolerance, size, toleranz, "
                               "ausser toleranz, mass, massabweichung, hors tolerance, hors cote, "
                               "fuera de tolerancia, tolerancia, fuori tolleranza, tolleranza"),
    "load_limit": _words("load limit, load, overload, uberlast, ueberlast, lastgrenze, surcharge, "
                         "limite de charge, sobrecarga, limite de carga, sovraccarico, "
                         "limite di carico"),
}  # fmt: skip
PECKS_CALLED: dict[PeckMode, tuple[str, ...]] = {
    "none": _words("none, no, 0, -, without, ohne, kein, keine, nein, sans, non, aucun, sin, "
                   "ninguno, senza, nessuno, g81"),
    "chip_break": _words("chip break, chip breaking, chipbreak, short, spanbruch, spanbrechen, "
                         "brise copeau, brise copeaux, rompeviruta, rompevirutas, rompitruciolo, "
                         "g73"),
    "full_retract": _words("full retract, full, retract, deep, peck, entspanen, ausspanen, "
                           "debourrage, picoteo, scarico trucioli, yes, ja, oui, si, g83"),
}  # fmt: skip

# What a drill is made of, where its name says so: whole words of the name.
MADE_OF: dict[Substrate, tuple[str, ...]] = {
    "carbide": _words("carbide, solid carbide, vhm, hartmetall, hm, carbure, metal duro, mdi, "
                      "metallo duro"),
    "cobalt": _words("cobalt, hss co, hsse, hss e, hss co5, hss co8, kobalt, cobalto, cobaltato"),
    "hss": _words("hss, high speed steel, schnellarbeitsstahl, acier rapide, acero rapido"),
}  # fmt: skip


def made_of(name: str) -> Substrate | None:
    """What a drill is made of by its name; None when that does not say, or says two things."""
    text = f" {plain_words(name)} "
    said = [one for one, words in MADE_OF.items() if any(f" {word} " in text for word in words)]
    if said == ["cobalt", "hss"]:
        return "cobalt"  # HSS-Co
    return said[0] if len(said) == 1 else None


def plain_words(text: str) -> str:
    """A text in small letters without accents and signs, for comparing."""
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(letter for letter in text if not unicodedata.combining(letter))
    return " ".join(re.findall(r"[^\W_]+|[ø⌀%#]", text))


def is_unit(text: str) -> bool:
    """Whether a text, with or without brackets, is a unit that a column can be in."""
    return unit_name(text) is not None


def unit_name(text: str) -> str | None:
    """A unit as the tables write it; None when it is none."""
    name = text.strip().strip("[]()").strip().casefold().replace(" ", "").replace("·", "")
    name = name.replace("″", '"').replace("''", '"')
    return name if any(name in table for table in UNITS.values()) else None
