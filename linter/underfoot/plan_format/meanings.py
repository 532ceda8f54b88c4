"""What each word means of those that a key's value may be, by thing and key."""

from collections.abc import Mapping

Meanings = Mapping[str | int, str]

_ENDS: Meanings = {
    "start": "The end at `at`, where the strip begins.",
    "end": "The far end.",
}
_METHODS: Meanings = {
    "A1": "Single conductors in conduit within a wall that is thermally insulated.",
    "A2": "A cable in conduit within a wall that is thermally insulated.",
    "B1": "Single conductors in conduit on a wall.",
    "B2": "A cable in conduit on a wall.",
    "C": "A cable fixed on a wall, without conduit.",
}
_AXES: Meanings = {"x": "To the right in the drawing.", "y": "Up in the drawing."}

MEANINGS: Mapping[tuple[str, str], Meanings] = {
    ("plan", "plan_format"): {1: "The only format as yet."},
    ("catalogue", "catalogue_format"): {1: "The only format as yet."},
    ("plan", "status"): {
        "draft": "Still being drawn.",
        "for review": "Drawn, and to be looked at before work starts.",
        "laid": "The film lies and is taped down; nothing covers it.",
        "covered": "The floor covering lies.",
        "handed over": "The customer has the floor and its papers.",
    },
    ("job", "measured"): {
        "on site": "Somebody measured the room itself.",
        "from a drawing": "The measurements are taken from somebody's drawing.",
    },
    ("source", "kind"): {
        "safety isolating transformer": "Keeps extra-low voltage safely apart from the mains.",
        "safety power supply": "An electronic supply that keeps it safely apart.",
        "battery": "A battery, apart from the mains.",
        "isolating transformer": "Apart from the mains, but not made for extra-low voltage.",
        "autotransformer": "Not apart from the mains: no SELV.",
        "other": "Anything else: not taken for SELV.",
    },
    ("supply", "system"): {
        "mains": "The voltage of the house.",
        "SELV": "Safety extra-low voltage: at most 50 V, out of a `source` made for it.",
    },
    ("supply", "phases"): {1: "One phase and neutral.", 3: "Three phases and neutral."},
    ("cable", "method"): _METHODS,
    ("link", "method"): _METHODS,
    ("circuit", "rcd_type"): {
        "AC": "Trips at alternating residual currents.",
        "A": "At pulsating direct ones, too.",
        "F": "At mixed frequencies, too.",
        "B": "At smooth direct ones, too.",
    },
    ("circuit", "phase"): {
        "L1": "The first phase.",
        "L2": "The second phase.",
        "L3": "The third phase.",
    },
    ("layer", "courses"): _AXES,
    ("run", "along"): _AXES,
    ("film", "lies"): {
        "busbars down": "The side with the busbars below.",
        "busbars up": "The side with the busbars above.",
    },
    ("film", "protection_class"): {
        "I": "Metal that can be touched is earthed.",
        "II": "Insulated twice, or as well as that.",
        "III": "Fed with extra-low voltage alone.",
    },
    ("covering", "fixing"): {
        "floating": "Laid loose, its boards joined to each other.",
        "glued": "Glued to what lies below it.",
        "nailed": "Nailed to what lies below it: nails find the film.",
    },
    ("method_statement", "busbars"): {"down": "Below.", "up": "Above."},
    ("method_statement", "connector_tool"): {
        "ratchet": "A ratchet tool, which opens only when the connector is pressed in full.",
        "pliers": "Pliers, whose pressure is anybody's.",
        "other": "Anything else.",
    },
    ("method_statement", "connectors_insulated"): {
        "both sides": "Above and below.",
        "one side": "Above or below alone.",
        "no": "Not at all.",
    },
    ("test", "stage"): {
        "made up": "Strips cut and joined, not yet taped down.",
        "laid": "Taped down, before the membrane.",
        "covered": "Once the floor covering lies.",
    },
    ("test", "against"): {
        "grid": "The metal grid over the film.",
        "earth": "The protective conductor.",
    },
    ("handover", "certificate"): {
        "signed": "There, and signed.",
        "unsigned": "There, and not signed.",
        "none": "There is none.",
    },
    ("fixture", "kind"): {
        "floor-mounted": "Stands flat on the floor: strips keep away from it.",
        "on legs": "Strips may pass below, where `clear` is enough.",
        "lying flat": "A rug, mattress or bean bag, which keeps the heat in.",
        "structure": "A part of the house: no floor below it.",
        "heat source": "A stove or the like: keep its `clearance`.",
        "fixings": "Screwed through the floor.",
        "bath": "A bath, with zones round it.",
        "shower": "A shower with a tray, with zones round it.",
        "open shower": "A shower without a tray, its `outlet` in the floor.",
        "basin": "A wash basin.",
    },
    ("fixture", "stands_on"): {"subfloor": "Floor and foam stop at it."},
    ("opening", "kind"): {
        "door": "Has a leaf, which swings or slides.",
        "window": "A window, down to the floor or not.",
        "passage": "Open: without a leaf.",
    },
    ("opening", "hinge"): {
        "from": "At the end that `from` gives.",
        "to": "At the end that `to` gives.",
        "both": "Two leaves, one at each end.",
    },
    ("opening", "opens"): {
        "inwards": "Into this room, or both ways.",
        "outwards": "Away from this room.",
        "slides": "Along the wall: it takes no floor.",
    },
    ("opening", "threshold"): {
        "screwed": "Screwed into the floor: screws find what lies below.",
        "glued": "Glued down, or held without screws.",
        "none": "The covering runs through, or there is none.",
    },
    ("moisture", "method"): {
        "CM": "The carbide test, on site.",
        "by weight": "The loss of weight when dried.",
    },
    ("subfloor", "kind"): {
        "concrete": "Concrete or screed.",
        "timber": "Boards or panels on joists.",
        "existing floor": "A floor that stays.",
    },
    ("subfloor", "below"): {
        "ground": "The ground.",
        "outside": "The open air.",
        "unheated": "A cellar or another space without heating.",
        "heated": "A heated room.",
    },
    ("subfloor", "screed"): {
        "cement": "Bound with cement.",
        "calcium sulphate": "Bound with calcium sulphate.",
    },
    ("overlay", "fixing"): {
        "floating": "Laid loose.",
        "glued": "Glued to what lies below it.",
        "screwed": "Screwed to what lies below it: screws find the film.",
        "nailed": "Nailed to what lies below it: nails find the film.",
    },
    ("room", "use"): {
        "living": "A living room or bedroom.",
        "kitchen": "A kitchen.",
        "hall": "A hall or passage.",
        "bathroom": "A room with a bath or shower.",
        "conservatory": "A room with much glass.",
        "office": "A room to work in.",
        "other": "Anything else.",
    },
    ("element", "connected"): _ENDS,
    ("place", "connected"): _ENDS,
    ("row", "connected"): _ENDS,
    ("channel", "cut_into"): {
        "insulation": "The boards below the film.",
        "subfloor": "The floor below the boards.",
    },
}
