"""The table of commands, and the options of each: what a function `NAME_options` adds is what that command takes."""

from __future__ import annotations

from stash.cli.keeping_options import backup_options, restore_options, verify_options, without_backup_option
from stash.cli.parser import Verb, VerbParser
from stash.cli.star_options import cloth_options, run_options, star_options

LENGTH_HELP = '"1 1/2 yd", "13 in", "50 cm", fq, fe, "2 x fq", "18 x 21"; inches alone from 4 up'


def suggest_options(parser: VerbParser) -> None:
    star_options(parser)
    cloth_options(parser)
    run_options(parser)
    best = parser.add_argument_group("which are best, and how many")
    best.add_argument("--top", metavar="K", help="how many sequences (default 5)")
    best.add_argument("--apart", metavar="D", help="fabrics that differ between any two answers (default: half)")
    best.add_argument("--any", action="store_true", help="also fabrics the stash has too little of")
    best.add_argument("--near", metavar="F", help="near to this fabric's colours, and taking up its main ones")
    best.add_argument("--colour-weight", metavar="K", help="how much jumps of colour count (0.5; 0.3 with --near)")
    best.add_argument("--lively", metavar="C", help="how much dull fabrics count against (default 0.25)")
    keep = parser.add_argument_group("keeping an answer")
    keep.add_argument("--save", metavar="NAME", help="save the star with a sequence as its colouring")
    keep.add_argument("--take", metavar="I", help="which sequence --save keeps (default 1)")


def sizes_options(parser: VerbParser) -> None:
    star_options(parser, many=True)
    cloth_options(parser)
    run_options(parser)
    parser.set_defaults(top=None, apart=None, any=False, near=None, colour_weight=None, lively=None)


def check_options(parser: VerbParser) -> None:
    star_options(parser)
    cloth_options(parser)
    colouring = parser.add_argument_group("the colouring")
    colouring.add_argument("--star", metavar="NAME", help="a saved star; NAME/2 is its second colouring")
    colouring.add_argument(
        "--use", metavar="LETTER=F", action="append",
        help="the fabric of a letter; F+G are two look-alikes, four points each; repeatable",
    )  # fmt: skip
    colouring.add_argument("--ground", metavar="F", help="the ground fabric, of the borders too")
    colouring.add_argument("--binding", metavar="F", help="the fabric of the binding")
    colouring.add_argument("--backing", metavar="F", help="the fabric of the backing")
    colouring.add_argument("--save", metavar="NAME", help="save the star with this colouring")


def sheet_options(parser: VerbParser) -> None:
    parser.add_argument("--star", metavar="NAME", help="a saved star; NAME/2 is its second colouring")
    parser.add_argument("--out", metavar="FILE", help=".pdf for pages, .png for a picture, .txt for the shop's list")
    parser.add_argument("--paper", metavar="P", help="letter (default) or a4")
    parser.add_argument("--pages", metavar="LIST", help="some of chart,map,cutting,machine,shop (default: all)")
    parser.add_argument("--ignore-holds", action="store_true", help="plan with what plans of other stars hold, too")
    parser.add_argument("--pixels", metavar="N", help="pixels along the longer side (default 1200)")
    parser.add_argument("--grey", action="store_true", help="in the true grey of the values")
    parser.add_argument("--flat", action="store_true", help="in flat colours, not in the fabrics' photographs")
    parser.add_argument("--point", action="store_true", help="one point enlarged, a letter on each small diamond")
    parser.add_argument("--all", action="store_true", help="all colourings of the star, side by side")
    parser.add_argument("--overwrite", action="store_true", help="replace a file that is there")


def list_options(parser: VerbParser) -> None:
    parser.add_argument("words", nargs="*", metavar="WORD", help="only fabrics that have all of these words")
    parser.add_argument("--sort", metavar="KEY", default="value", help="value (default), name, hue or length")
    parser.add_argument("--archived", action="store_true", help="the archived ones too")


def fabric_facts(parser: VerbParser) -> None:
    """What is known of a fabric, for `add` and `edit`."""
    parser.add_argument("--place", help="where it lies")
    parser.add_argument("--note", help="a remark")
    parser.add_argument("--price", help="money a yard")
    words = 'a word ("light yellow"), a value (85), "L,a,b" (CIE L*a*b*, D65) or "#rrggbb"'
    parser.add_argument("--colour", metavar="C", help=words)


def piece_options(parser: VerbParser) -> None:
    """What goes with the length of a piece."""
    parser.add_argument("--width", metavar="W", help="usable width (default by kind: yardage 40 in)")
    parser.add_argument("--kind", metavar="K", help="yardage, fat quarter, fat eighth, square, strips or scrap")


def uid_option(parser: VerbParser) -> None:
    """For commands that a script may send twice."""
    parser.add_argument("--uid", metavar="U", help="a mark of your own: the same mark is booked once")


def photo_options(parser: VerbParser, sheet: bool) -> None:
    """How photographs are measured; boxes count in pixels of the picture as it is seen."""
    how = parser.add_argument_group("how photographs are measured")
    how.add_argument("--box", metavar="X,Y,W,H", help="where the cloth is: corner and size in pixels")
    reference = how.add_mutually_exclusive_group()
    reference.add_argument("--white", metavar="X,Y,W,H", help="a white patch in the picture")
    reference.add_argument("--grey", metavar="X,Y,W,H", help="a grey card in the picture (18 %% of the light)")
    reference.add_argument("--on-paper", action="store_true", help="white paper lies all round the cloth")
    if sheet:
        reference.add_argument("--sheet", action="store_true", help="many swatches on one sheet of white paper")
    how.add_argument("--reflectance", metavar="Y", help="how much light the paper or patch gives back, 0.05 to 1")


def measure_options(parser: VerbParser) -> None:
    parser.add_argument("photos", metavar="PHOTO", nargs="+", help="photographs, or folders of them")
    photo_options(parser, sheet=True)


def add_options(parser: VerbParser) -> None:
    parser.add_argument("name", metavar="NAME", nargs="?", help="the fabric's name (not with --photos)")
    parser.add_argument("--photo", metavar="P", help="its photograph, which says its colour")
    parser.add_argument(
        "--photos", metavar="P", nargs="+", help="many: each photograph, named or in a folder, is a fabric"
    )
    photo_options(parser, sheet=True)
    parser.add_argument("--length", metavar="L", help=LENGTH_HELP + "; without it: not measured yet")
    piece_options(parser)
    fabric_facts(parser)
    parser.add_argument("--washed", action="store_true", help="washed before storing")
    parser.add_argument("--directional", action="store_true", help="the print runs one way: cut across only")
    uid_option(parser)


def edit_options(parser: VerbParser) -> None:
    parser.add_argument("fabric", metavar="F", help="the fabric's name")
    parser.add_argument("--name", help="a new name")
    fabric_facts(parser)
    parser.add_argument("--photo", metavar="P", help="a new photograph of it, which says its colour; send it alone")
    photo_options(parser, sheet=False)
    parser.add_argument("--value", metavar="L", help='value by eye, 0 to 100; "measured" goes back to the colour\'s')
    washed = parser.add_mutually_exclusive_group()
    washed.add_argument("--washed", action="store_true", default=None, help="it is washed")
    washed.add_argument("--unwashed", dest="washed", action="store_false", default=None, help="it is not")
    way = parser.add_mutually_exclusive_group()
    way.add_argument("--directional", action="store_true", default=None, help="the print runs one way")
    way.add_argument("--both-ways", dest="directional", action="store_false", default=None, help="it does not")


def archive_options(parser: VerbParser) -> None:
    parser.add_argument("fabric", metavar="F", help="the fabric's name")


def pieces_of_fabric(parser: VerbParser) -> None:
    """A fabric and pieces of it, for `bought` and `count`."""
    parser.add_argument("fabric", metavar="F", help="the fabric's name")
    parser.add_argument("length", metavar="LENGTH", nargs="+", help=LENGTH_HELP)
    piece_options(parser)


def used_options(parser: VerbParser) -> None:
    parser.add_argument("fabric", metavar="F", help="the fabric's name")
    parser.add_argument("length", metavar="LENGTH", nargs="+", help='length cut off, as in "1/2 yd", or all')


def log_options(parser: VerbParser) -> None:
    parser.add_argument("--star", metavar="NAME", help="a saved star; NAME/2: its second colouring")
    parser.add_argument("--set", metavar="I", help="only what strip set I is cut from")
    parser.add_argument("--fabric", metavar="F", help="only this fabric's strips; without --star: the fabric to cut")
    parser.add_argument("--replan", action="store_true", help="plan again from what is there what is not cut yet")
    parser.add_argument("--let-go", action="store_true", help="book nothing: what is not cut yet is free again")
    parser.add_argument("--ignore-holds", action="store_true", help="plan with what plans of other stars hold, too")
    parser.add_argument("--strips", metavar="N", help="how many strips across (with --fabric)")
    parser.add_argument("--strip", metavar="W", help="strip width (with --fabric)")
    uid_option(parser)


def undo_options(parser: VerbParser) -> None:
    """`undo` takes nothing: the newest entry that is not undone yet."""


def history_options(parser: VerbParser) -> None:
    parser.add_argument("--limit", metavar="N", help="only the newest N entries (default: all)")


def import_options(parser: VerbParser) -> None:
    parser.add_argument("file", metavar="FILE.csv|FILE.json",
                        help="CSV: a line a piece, the header names the columns; JSON: a whole stash, into a new one")
    parser.add_argument("--dry-run", action="store_true", help="tell what it would do, change nothing")
    parser.add_argument("--on-paper", action="store_true", help="the photographs it names show cloth on white paper")
    way = parser.add_mutually_exclusive_group()
    way.add_argument("--add", action="store_true", help="a known fabric's other pieces are added")
    way.add_argument("--replace", action="store_true", help="a known fabric's pieces become those of the file")
    without_backup_option(parser)


def export_options(parser: VerbParser) -> None:
    parser.add_argument("file", metavar="FILE.csv|FILE.json", help="where to write: JSON holds all of the stash")
    parser.add_argument("--overwrite", action="store_true", help="replace a file that is there")


def new_options(parser: VerbParser) -> None:
    parser.add_argument("path", metavar="PATH", nargs="?", help="where the new stash goes (default: --db or your own)")


def demo_options(parser: VerbParser) -> None:
    parser.add_argument("--at", metavar="PATH", help="only write the demo stash there, to play on the command line")


def web_options(parser: VerbParser) -> None:
    parser.add_argument("--port", metavar="N", help="where the browser finds it (default 8000; 0: any that is free)")
    parser.add_argument("--demo", action="store_true", help="the demo stash, a copy of its own for each page opened")


def completion_options(parser: VerbParser) -> None:
    parser.add_argument("shell", metavar="SHELL", help="bash, zsh or fish")


def no_options(parser: VerbParser) -> None:
    """Nothing beyond what all commands take."""


STARS, CLOTH, CUTTING, FILES = "Stars", "Fabrics", "Cutting and history", "Files"

VERBS = (
    Verb("star", "a star on paper: strips, yards, setting pieces, check measures", "stash.cli.stars:star",
         star_options, 'starcover star --grid 4 --strip 2.5 --order mirror', STARS),
    Verb("suggest", "light-to-dark sequences from the stash that cover a star", "stash.cli.suggest:suggest",
         suggest_options, 'starcover suggest --grid 4 --strip 2.5 --top 3', STARS),
    Verb("check", "does the stash cover this star in these fabrics", "stash.cli.check:check",
         check_options, 'starcover check --star "Lowmere Evening"', STARS),
    Verb("sizes", "which stars the stash covers, grid by strip width", "stash.cli.sizes:sizes",
         sizes_options, "starcover sizes --grid 3..6 --order mirror", STARS),
    Verb("sheet", "a saved star on paper: pages to print, a picture, the list for the shop", "stash.cli.sheet:sheet",
         sheet_options, 'starcover sheet --star "Mill Pond" --out pond.pdf', STARS),
    Verb("stars", "the saved stars", "stash.cli.stars:stars", no_options, "starcover stars", STARS),
    Verb("list", "the fabrics of the stash", "stash.cli.listing:list_fabrics",
         list_options, "starcover list shelf 2 --sort hue", CLOTH),
    Verb("measure", "colour and value of cloth in photographs; nothing is saved", "stash.cli.measuring:measure",
         measure_options, "starcover measure swatches --on-paper", CLOTH),
    Verb("add", "a new fabric, or many from photographs", "stash.cli.cloth:add",
         add_options, 'starcover add "Hedge Rose" --length "1 1/2 yd" --colour "#c0506a"', CLOTH),
    Verb("edit", "change what is known of a fabric", "stash.cli.cloth:edit",
         edit_options, 'starcover edit Rime --place "shelf 2" --washed', CLOTH),
    Verb("archive", "put a fabric out of sight; its history stays", "stash.cli.cloth:archive",
         archive_options, "starcover archive Rime", CLOTH),
    Verb("bought", "more of a fabric", "stash.cli.cloth:bought",
         pieces_of_fabric, "starcover bought Fern 1/2 yd", CLOTH),
    Verb("used", "some of a fabric is gone", "stash.cli.cloth:used",
         used_options, "starcover used Fern 1/4 yd", CLOTH),
    Verb("count", "what is really there of a fabric, counted on the shelf", "stash.cli.cloth:count",
         pieces_of_fabric, "starcover count Moss 2 x fq", CLOTH),
    Verb("log", "book a cut: a saved star, one of its sets or fabrics, or plain strips", "stash.cli.cutting:log",
         log_options, "starcover log --fabric Fern --strips 3 --strip 2.5", CUTTING),
    Verb("undo", "take back the newest entry, then the next older", "stash.cli.cutting:undo",
         undo_options, "starcover undo", CUTTING),
    Verb("history", "what was done to the stash, newest first", "stash.cli.cutting:history",
         history_options, "starcover history --limit 10", CUTTING),
    Verb("import", "read a CSV file, or a whole stash from JSON", "stash.cli.files:import_file",
         import_options, "starcover import stash.csv --dry-run", FILES),
    Verb("export", "write the fabrics as CSV, or the whole stash as JSON", "stash.cli.files:export_file",
         export_options, "starcover export stash.csv", FILES),
    Verb("backup", "a copy of the stash, verified, with its SHA-256 beside it", "stash.cli.keeping:backup",
         backup_options, "starcover backup", FILES),
    Verb("restore", "make the stash what a backup is; the present is backed up first", "stash.cli.keeping:restore",
         restore_options, "starcover restore stash-backup.db", FILES),
    Verb("verify", "look the stash and its backups over and name what is wrong", "stash.cli.looking_over:verify",
         verify_options, "starcover verify", FILES),
    Verb("new", "make an empty stash", "stash.cli.files:new", new_options, "starcover new sewing.db", FILES),
    Verb("where", "where the stash, its backups and the log are", "stash.cli.files:where",
         no_options, "starcover where", FILES),
    Verb("web", "the interface in a browser of this machine (extra `web`)", "stash.cli.web:web",
         web_options, "starcover web --port 8123", FILES),
    Verb("keys", "every command of the interface with its keys, and the file that changes them", "stash.cli.keys:keys",
         no_options, "starcover keys", FILES),
    Verb("completion", "what Tab completes in bash, zsh or fish, as a script to load",
         "stash.cli.completion:completion", completion_options, "starcover completion bash", FILES),
    Verb("demo", "the interface on a throw-away demo stash", "stash.cli.files:demo",
         demo_options, "starcover demo --at demo.db", FILES),
)  # fmt: skip
