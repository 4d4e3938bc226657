"""What a job list and a parts list may hold."""

from .headings import Column

HOURS = ("h", "hr", "hrs", "hours")
DAYS = ("working days", "d", "days", "day")
LENGTH = ("mm",)
MASS = ("kg",)
AREA = ("m²", "m2")

JOB_COLUMNS = (
    Column("area", "The part of the car, for example fuel. It must be known here.", required=True),
    Column("title", "What has to be done, in a few words.", ("job", "task", "what", "description"), True),
    Column("key", "A short name of your own for the job, for the column ‘after’.", ("short name", "id")),
    Column("place", "on the car, at the bench, or away with the car. Empty: on the car.", ("where",)),
    Column("hours low", "If all goes well. Empty: as likely.", ("low", "hours from"), unit=HOURS),
    Column(
        "hours likely",
        "The estimate: 2.5, 2,5 h, 2:30 or 2 h 30 min.",
        ("hours", "likely", "estimate", "time"),
        unit=HOURS,
    ),
    Column("hours high", "If much goes wrong. Empty: as likely.", ("high", "hours to"), unit=HOURS),
    Column("people", "How many it takes. Empty: 1.", ("people needed",)),
    Column("skill", "Who can do it, for example electrician. It must be known here."),
    Column("supplier", "Only for a job away with the car: where it goes.", ("away at",)),
    Column("second signature", "yes if a second person must sign it.", ("needs signature", "sign off")),
    Column(
        "cautions",
        "Parted by semicolons: hot work; lifting; working under a car; pressure test; "
        "battery disconnect; fuel handling; brakes.",
        ("caution", "safety"),
    ),
    Column(
        "after",
        "Keys or titles of the jobs that come before, parted by semicolons. "
        "‘+ 24 h’ behind one is a wait in between.",
        ("comes after", "after jobs", "waits for"),
    ),
    Column(
        "needs",
        "Names of the parts that must be in hand, parted by semicolons. "
        "‘(line 1)’ behind one: only as far as that line of its route card.",
        ("needs parts", "parts needed"),
    ),
    Column(
        "milestone",
        "first start-up, first drive, handover or one of your own, if it is reached after this job.",
        ("milestones",),
    ),
    Column("note", "Anything else that the fitter should read.", ("notes", "remarks")),
    Column("car", "Only where one file holds the lists of several cars."),
)

PART_COLUMNS = (
    Column(
        "part",
        "What the part is called; each name once on a car. Further rows of the same name are further lines "
        "of its route card.",
        ("part name", "item"),
        True,
    ),
    Column("drawing number", "", ("drawing", "drawing no")),
    Column("material", "By its name here, for example Mild steel."),
    Column("quantity", "How many. Empty: 1.", ("qty", "number off", "pieces")),
    Column("mass", "Of one piece.", ("weight",), unit=MASS),
    Column("length", "Of the largest piece.", unit=LENGTH),
    Column("width", "", unit=LENGTH),
    Column("height", "", unit=LENGTH),
    Column("surface", "All that is coated, of one piece.", ("area", "surface area"), unit=AREA),
    Column(
        "features",
        "What a finisher must know, parted by semicolons: sealed; vented; high strength; steel insert; "
        "bonded; lapped.",
        ("feature",),
    ),
    Column(
        "seen together with",
        "The same words on parts that are seen side by side: they share a lot.",
        ("colour set",),
    ),
    Column("made by", "Key or title of the job that gives its drawing, pattern or blank.", ("made by job",)),
    Column("part note", "", ("note", "notes", "remarks")),
    Column(
        "line",
        "Number of the line of the route card. Empty: in the order of the rows.",
        ("route line", "sequence", "step"),
    ),
    Column("process", "What is done on this line, for example Fabricate, Anodise, Supply.", ("operation",)),
    Column("supplier", "Who does it. Empty: our own shop, or not chosen yet.", ("firm", "at")),
    Column("lead time low", "Empty: as likely.", ("lead low", "days low", "lead low days"), unit=DAYS),
    Column(
        "lead time likely",
        "In the supplier’s working days.",
        ("lead time", "lead likely", "days", "days likely", "lead likely days"),
        unit=DAYS,
    ),
    Column("lead time high", "Empty: as likely.", ("lead high", "days high", "lead high days"), unit=DAYS),
    Column("colour", ""),
    Column("coating class", "", ("class",)),
    Column("specification", "Anything else the supplier must keep to.", ("spec",)),
    Column("masking", "What is to be kept free of the finish."),
    Column("after", "Jobs that must be done before this line, parted by semicolons.", ("after jobs",)),
    Column(
        "needed by",
        "Jobs that need the part as it is after this line, parted by semicolons.",
        ("needed by jobs", "for job", "for jobs"),
    ),
    Column("goods out", "The day it went out, if it is out: 12/03/2027.", ("sent on", "ordered on", "sent")),
    Column("promised", "The day it is promised back, if it is out.", ("promised on", "due", "due back")),
    Column("car", "Only where one file holds the lists of several cars."),
)
