"""Who and what the invented workshop has. No real names."""

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal

CYLINDERS = (36, 48, 54, 60, 64, 72, 80)


@dataclass(frozen=True, slots=True)
class Size:
    """One size she makes: its name in both settings, whom it is for, its foot and price."""

    us_name: str
    eu_name: str
    group: str
    foot_mm: float
    height_mm: float
    price_minor: int
    ball_mm: float | None = None


BABY = Size("Baby 6–12 months", "Baby 6–12 months", "baby", 107.2, 76, 1400, 121)
TODDLER = Size("Child 8", "EU 24–25", "child", 149.6, 114, 1600, 150)
CHILD = Size("Child Y2", "EU 33–34", "child", 208.8, 152, 2000, 196)
WOMEN_S = Size("Women 6", "EU 36–37", "women", 224.4, 165, 2800)
WOMEN_M = Size("Women 8½", "EU 39–40", "women", 245.5, 178, 2800)
MEN_M = Size("Men 10", "EU 42–43", "men", 270.9, 203, 3000)
MEN_L = Size("Men 13", "EU 46–47", "men", 296.3, 210, 3200)
MEN_XL = Size("Men 16", "EU 50", "men", 321.7, 216, 3400)


@dataclass(frozen=True, slots=True)
class Kind:
    """A design in a size, and how many pairs a normal market day wants (known to no one)."""

    design: str
    size: Size
    wanted: float
    yarns: tuple[str, ...]
    hem_rows: int = 0


PLAIN, STRIPE, THICK = "Quayside plain", "Foghorn stripe", "Net-loft boot sock"
SOCK_YARNS = ("Tideline sock, Kelp", "Tideline sock, Rust buoy", "Tideline sock, Fog")
KINDS = (
    Kind(PLAIN, BABY, 0.5, SOCK_YARNS),
    Kind(PLAIN, TODDLER, 0.35, SOCK_YARNS),
    Kind(PLAIN, CHILD, 0.3, SOCK_YARNS),
    Kind(PLAIN, WOMEN_S, 0.9, SOCK_YARNS),
    Kind(PLAIN, WOMEN_M, 1.5, SOCK_YARNS),
    Kind(PLAIN, MEN_M, 1.1, SOCK_YARNS),
    Kind(PLAIN, MEN_L, 0.5, SOCK_YARNS),
    Kind(PLAIN, MEN_XL, 0.25, SOCK_YARNS),
    Kind(STRIPE, WOMEN_S, 0.4, ("Beacon stripe, Dawn",), 8),
    Kind(STRIPE, WOMEN_M, 0.8, ("Beacon stripe, Dawn",), 8),
    Kind(STRIPE, MEN_M, 0.35, ("Beacon stripe, Dawn",), 8),
    Kind(THICK, WOMEN_M, 0.45, ("Ropewalk wool, Slate",)),
    Kind(THICK, MEN_M, 0.7, ("Ropewalk wool, Slate",)),
    Kind(THICK, MEN_L, 0.35, ("Ropewalk wool, Slate",)),
)


@dataclass(frozen=True, slots=True)
class YarnSpec:
    """A yarn of the scene."""

    name: str
    colour: str
    content: dict[str, float]
    count: str
    price_minor: int
    spun_in: str
    care: str
    lot_g: int


OWN_CARE = "Tideline wash"
YARNS = (
    YarnSpec("Tideline sock", "Kelp", {"wool": 75, "nylon": 25}, "100 g / 400 m", 900,
             "abroad", OWN_CARE, 3000),
    YarnSpec("Tideline sock", "Rust buoy", {"wool": 75, "nylon": 25}, "100 g / 400 m", 900,
             "abroad", OWN_CARE, 3000),
    YarnSpec("Tideline sock", "Fog", {"wool": 75, "nylon": 25}, "100 g / 400 m", 900,
             "abroad", OWN_CARE, 2000),
    YarnSpec("Beacon stripe", "Dawn", {"wool": 70, "nylon": 25, "silk": 5}, "100 g / 420 m",
             1450, "abroad", "Superwash/nylon", 1500),
    YarnSpec("Ropewalk wool", "Slate", {"wool": 100}, "100 g / 300 m", 700, "home",
             "Non-superwash wool", 3000),
    YarnSpec("Mooring thread", "Grey", {"nylon": 100}, "Nm 20/2", 1200, "abroad", "Superwash/nylon",
             300),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Setting:
    """One telling of the scene: units, money and rules."""

    length_unit: str
    currency: str
    label_rules: str
    country: str
    tax_percent: Decimal
    tax_included: bool
    eu_sizes: bool = False

    def size_name(self, size: Size) -> str:
        """Return what a size is called in this setting."""
        return size.eu_name if self.eu_sizes else size.us_name


US = Setting("in", "USD", "us", "USA", Decimal("5.5"), tax_included=True)
METRIC = Setting("cm", "EUR", "eu", "Ireland", Decimal(23), tax_included=True, eu_sizes=True)

WORKSHOP_NAME = "Gullwing Lane Socks"
TOWN = "Port Ellery"
MARKET = "Thursday quay market"
FAIRS = ("Lantern fair", "Midwinter fair")
MARKET_HOURS = (dt.time(8), dt.time(14))
FAIR_HOURS = (dt.time(10), dt.time(18))
FAULTS = ("dropped stitch", "small hole, mended", "wrong row count", "dye stain")
ASKS_IN_WORDS = (
    "knee socks, men 13", "something without wool", "matching pair for a baby", "red ones",
)  # fmt: skip
WEATHER = ("Sun", "Cloud, dry", "Breeze", "Drizzle at noon", "Warm", "Fog till ten")
GALE = "Gale, rain sideways"


@dataclass(slots=True)
class Rhythm:
    """How much she gets done; her machine time keeps her short in a good week."""

    socks_of_a_kind: int = 6
    fault_share: float = 0.03
    season: range = field(default=range(5, 13))

    def strings_in_week(self, week: int, month: int) -> int:
        """Return how many strings she knits: one, sometimes two; fewer in the dark months."""
        if month in self.season:
            return 2 if week % 4 == 0 else 1
        return 1 if week % 2 else 0
