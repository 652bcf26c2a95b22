"""The side of a beast of beef, and of a calf: shapes of our own, from general knowledge."""

from __future__ import annotations

from planner.show.pictures.shapes import Drawing, Region, points

_BODY = points(
    "112,72 140,64 172,58 206,58 250,66 310,68 370,68 420,64 462,62 496,66 516,80 524,108 "
    "526,146 522,182 512,208 510,226 518,244 516,262 504,272 490,262 480,244 468,228 450,218 "
    "424,224 380,242 330,250 280,250 248,242 241,252 238,272 220,274 215,256 208,246 190,246 "
    "164,238 142,218 126,188 112,156 102,124 102,92"
)

_FAR_LEGS = (
    "M252,224 C258,244 262,258 262,274 L264,312 L252,328 L281,328 L284,312 L283,274 "
    "C284,254 292,240 302,228Z",
    "M252,328 L251,334 L281,334 L281,328",
    "M434,210 C448,230 464,242 470,258 L466,312 L454,328 L483,328 L487,312 L492,262 "
    "C488,246 492,230 502,212Z",
    "M454,328 L453,334 L483,334 L483,328",
)

_NEAR_FEET = (
    "M218,266 L220,318 L208,336 L238,336 L241,318 L240,266Z",
    "M208,336 L207,343 L238,343 L238,336",
    "M494,262 L492,318 L480,336 L510,336 L513,318 L518,256Z",
    "M480,336 L479,343 L510,343 L510,336",
)

_HEAD = (
    "M122,64 C112,54 98,52 88,58 C78,72 62,98 48,118 C40,126 38,140 46,146 C56,152 70,152 "
    "80,144 C94,138 112,126 120,108 C126,94 128,76 122,64Z"
)
_FACE = (
    "M46,124 C50,126 54,126 56,122 M48,140 C56,142 66,140 72,134",
    "M82,84 a3.6,3.6 0 1 0 7.2,0 a3.6,3.6 0 1 0 -7.2,0Z",
)
_EAR = "M112,66 C124,58 142,60 154,70 C144,82 126,86 112,78Z"
_HORN = "M96,55 C90,44 78,38 64,40 C70,46 76,56 84,64Z"
_TAIL = (
    "M512,76 C530,78 538,100 538,132 C538,160 537,184 538,206 C548,222 548,240 540,256 "
    "C532,242 528,222 532,206 C531,184 531,160 531,132 C531,110 526,96 518,90Z"
)
_CHUCK = points("60,30 262,30 260,100 262,164 220,172 178,180 140,150 60,150")
_RIB = points("262,30 338,30 338,156 262,164 260,100")
_SHORT_LOIN = points("338,30 402,30 404,100 404,150 338,156")
_LOIN_END = points("402,30 470,30 458,96 440,146 404,150 404,100")
_ROUND = points("470,30 600,30 600,226 490,226 464,214 446,188 440,146 458,96")
_HIND_SHIN = points("600,226 600,320 440,320 440,222 464,214 490,226")
_FLANK = points("338,156 404,150 440,146 446,188 464,214 440,222 440,320 352,320 346,240")
_PLATE = points("262,164 338,156 346,240 352,320 252,320 252,232 240,200")
_BRISKET = points("60,150 140,150 178,180 196,206 192,236 188,320 60,320")
_FORE_SHIN = points("178,180 220,172 262,164 240,200 252,232 252,320 188,320 192,236 196,206")

_VEAL_NECK = points("60,30 170,30 152,90 140,150 60,150")
_VEAL_SHOULDER = points("170,30 262,30 260,100 262,164 220,172 178,180 140,150 152,90")
_VEAL_LOIN = points(
    "338,30 402,30 410,100 432,146 446,188 464,214 440,222 440,320 352,320 346,240 338,156"
)
_VEAL_LEG = points("402,30 600,30 600,226 490,226 464,214 446,188 432,146 410,100")

BEEF = Drawing(
    box=(38, 38, 548, 344),
    body=_BODY,
    behind=(*_FAR_LEGS, *_NEAR_FEET, _TAIL),
    before=(_HORN, _HEAD, *_FACE, _EAR),
    regions=(
        Region(("chuck",), (_CHUCK,), (196, 116), above=True),
        Region(("rib",), (_RIB,), (300, 112), above=True),
        Region(("short loin",), (_SHORT_LOIN,), (372, 110), above=True),
        Region(("loin end",), (_LOIN_END,), (430, 104), above=True),
        Region(("round",), (_ROUND,), (488, 130), above=True),
        Region(("brisket",), (_BRISKET,), (158, 200), above=False),
        Region(("fore shin",), (_FORE_SHIN,), (226, 240), above=False),
        Region(("plate",), (_PLATE,), (300, 212), above=False),
        Region(("flank",), (_FLANK,), (398, 196), above=False),
        Region(("hind shin",), (_HIND_SHIN,), (498, 246), above=False),
    ),
)

VEAL = Drawing(
    box=(38, 52, 548, 344),
    body=_BODY,
    behind=(*_FAR_LEGS, *_NEAR_FEET, _TAIL),
    before=(_HEAD, *_FACE, _EAR),
    regions=(
        Region(("shoulder",), (_VEAL_SHOULDER,), (206, 116), above=True),
        Region(("rib",), (_RIB,), (300, 112), above=True),
        Region(("loin",), (_VEAL_LOIN,), (372, 110), above=True),
        Region(("leg",), (_VEAL_LEG,), (472, 120), above=True),
        Region(("neck",), (_VEAL_NECK,), (130, 134), above=False),
        Region(("foreshank",), (_FORE_SHIN,), (226, 240), above=False),
        Region(("breast",), (_PLATE, _BRISKET), (300, 212), above=False),
        Region(("hind shank",), (_HIND_SHIN,), (498, 246), above=False),
    ),
)
