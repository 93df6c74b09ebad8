"""The command line. Only the standard library's argparse is loaded until a draft is asked for: help must be quick.

Exit codes: 0 done, 2 the input or the place to write or print is at fault, 1 the program is; 130, 143 and 129 stopped
by SIGINT, SIGTERM and SIGHUP.
"""

from __future__ import annotations

import errno
import gc
import os
import signal
import sys
from argparse import ArgumentParser, HelpFormatter, Namespace
from functools import partial

from output.system import interrupts
from output.system.streams import complain, hold_places, say

TYPE_CHECKING = False  # known to type checkers by its name; importing it would double the time to help
if TYPE_CHECKING:
    from argparse import _ActionsContainer as Options
    from collections.abc import Sequence
    from typing import Any, NoReturn, Protocol, TypeVar

    from output.commands.request import Request

    Option = tuple[tuple[str, ...], dict[str, Any]]
    Asked = TypeVar("Asked", bound=Request)

    class Report(Protocol):
        def text(self) -> str: ...
        def json(self) -> str: ...


DONE, OURS, YOURS = 0, 1, 2

SCARCE = tuple(
    getattr(errno, name)
    for name in ("EAGAIN", "EDQUOT", "EIO", "EMFILE", "ENFILE", "ENOMEM", "ENOSPC")
    if hasattr(errno, name)
)
"""What a system lacks when it refuses what any program may ask of it."""

OTHERS = 0o077
"""The rights to a file that a mask may take: those of others."""

UNCOLLECTED = 50_000
"""Objects made before Python looks for garbage: a draft is many of them, and nearly all are kept to its end."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program and return its exit code; every fault is one line on standard error.

    Without `argv` it is the process's own program: then it takes the words of its command line and settles in.
    """
    before = interrupts.heed()
    try:
        hold_places()
        if argv is None:
            _settle_in()
        given = sys.argv[1:] if argv is None else argv
        return _run(_parser(given).parse_args(given))
    except SystemExit as stop:  # argparse, after help or a mistyped option
        return int(stop.code or DONE)
    except KeyboardInterrupt:  # a library may have made it anew, so it does not tell what was heard
        return _stopped(interrupts.heard() or signal.SIGINT)
    except Exception as error:
        number = interrupts.heard()  # a library that was stopped in its work can fail later, in its own words
        return _fault(error) if number is None else _stopped(number)
    finally:
        if argv is None:
            interrupts.ignore()  # the process ends
        else:
            interrupts.restore(before)


def _fault(error: Exception) -> int:
    """Tell what went wrong, and whose fault it is."""
    from drafting.errors import DraftError  # noqa: PLC0415 - not needed for help

    if isinstance(error, DraftError):
        return max(_failed(problem, YOURS) for problem in getattr(error, "problems", (str(error),)))
    if isinstance(error, MemoryError):
        return _failed("memory: there is not enough of it; try again with --workers 1, or with fewer sizes", YOURS)
    if isinstance(error, OSError) and error.errno in SCARCE:
        return _failed(f"this machine is short of something: {error.strerror}; free some of it", YOURS)
    if isinstance(error, PermissionError) and error.filename:
        return _failed(f"{error.filename}: {error.strerror}; see that you may use it", YOURS)
    told = f"internal error: {type(error).__name__}: {error}; please report it with the design and the measurements"
    return _failed(told, OURS)


def _settle_in() -> None:
    """Have the process as its own program needs it: nothing that it makes is closed to itself, and no library warns.

    Warnings are for programmers, whose tests have them as errors.
    """
    import warnings  # noqa: PLC0415 - Python itself has loaded it if it was asked to warn

    os.umask(os.umask(OTHERS) & OTHERS)
    os.environ["PYTHONWARNINGS"] = "ignore"
    sys.warnoptions[:] = ["ignore"]
    warnings.simplefilter("ignore")
    sys.unraisablehook = interrupts.hushed


def _stopped(number: int) -> int:
    """Say what has stopped the program and return the exit code, as shells reckon it."""
    said = "interrupted" if number == signal.SIGINT else f"stopped by {interrupts.name_of(number)}"
    return _failed(said, interrupts.ASKED + number)


class _Parser(ArgumentParser):
    def error(self, message: str) -> NoReturn:
        sys.exit(_failed(f"{message}; see {self.prog} --help", YOURS))

    def print_help(self, file: Any = None) -> None:  # noqa: ARG002 - argparse gives none
        say(self.format_help().rstrip())


def _formatter(prog: str) -> HelpFormatter:
    try:
        width = os.get_terminal_size().columns
    except OSError:
        width = 100
    return HelpFormatter(prog, width=min(100, width - 2), max_help_position=30)  # given a width, it imports less


def _parser(argv: Sequence[str]) -> ArgumentParser:
    """The parser of a command line; of the commands it knows the options of those that the line names."""
    parser = _Parser(
        prog="shirrline",
        formatter_class=_formatter,
        allow_abbrev=False,
        description="Draft flat patterns for gathered, elastic-cased legwear and publish them as printable PDFs.",
    )
    parser.add_argument("--version", action="store_true", help="show the version and stop")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    for name, (meaning, add_options, _) in COMMANDS.items():
        command = commands.add_parser(name, formatter_class=_formatter, allow_abbrev=False, help=meaning)
        if name in argv:  # help must be quick, and needs the options of no other command
            add_options(command)
    return parser


def _option(*names: str, **about: Any) -> Option:
    """What `add_argument` is told of one."""
    return names, about


def _amount(text: str) -> tuple[str, str]:
    """A finding and its amount, as in full-seat=12mm; one without an amount is refused by its name later."""
    name, _, amount = text.partition("=")
    return name, amount


def _named(name: str, value: str) -> tuple[str, str]:
    return name, value


DESIGN = _option("design", metavar="DESIGN.toml", help="the design")
SIZES = _option(
    "sizes", metavar="SIZES", help="the size table: .csv or .toml, one row for each size; or a measurements file"
)
OUT = _option("--out", metavar="FOLDER", required=True, help="where to write; made when missing")
RISE = _option("--rise", metavar="RISE", help="height of the waist: high or mid (default: the first)")
RISES = _option(
    "--rise", dest="rises", action="append", metavar="RISE", help="a rise, as in high or mid (default: all)"
)
BOOKLET = _option(
    "--page", dest="pages", action="append", metavar="SIZE", help="A4 or Letter; repeat it for both (default: A4)"
)
WORKERS = _option("--workers", metavar="N", help="processes to use (default: one for each processor)")
LYING = (
    _option("--selvedge", metavar="CM", help="lost along each selvedge (default: 1.5)"),
    _option("--lay", choices=("open", "folded"), help="how the cloth lies (default: open)"),
)
FIT = _option(
    "--fit",
    choices=("auto", "whole", "split"),
    help="split what is wider than the cloth, nothing, or all (default: auto)",
)
SEARCH = (
    _option("--one-way", action="store_true", help="turn no piece upside down: for nap and prints"),
    _option("--shrinkage", metavar="PERCENT", help="what the cloth's length shrinks (default: 3)"),
    _option("--seconds", metavar="N", help="how long to search for each lay (default: 10)"),
    _option("--lays", metavar="FILE", help="where lays are kept (default: beside the design, as DESIGN.lays.json)"),
)
# Those of `blocks.measurements.RANGES`, written out because help loads nothing of a garment; a test compares them.
MEASUREMENTS = tuple(
    _option(option, dest="measured", action="append", metavar="LENGTH", type=partial(_named, name), help=meaning)
    for option, name, meaning in (
        ("--waist", "waist_girth", "round the natural waist"),
        ("--hip", "hip_girth", "round the fullest part of the hips, level"),
        ("--body-rise", "body_rise", "seated, from waist to chair along the side"),
        ("--waist-to-hip", "waist_to_hip", "down from waist to hip level along the side"),
        ("--high-hip", "high_hip_girth", "round the hips over the hip bones, level"),
        ("--thigh", "thigh_girth", "round one thigh at its fullest, just below the crotch"),
        ("--knee", "knee_girth", "round the knee over the kneecap, the leg straight"),
        ("--calf", "calf_girth", "round the calf at its fullest"),
        ("--ankle", "ankle_girth", "round the ankle at its narrowest, just above the bone"),
        ("--crotch-length", "crotch_length", "from front waist between the legs to back waist"),
        ("--front-crotch-length", "front_crotch_length", "from front waist to the crotch point between the legs"),
        ("--back-crotch-length", "back_crotch_length", "from the crotch point between the legs to back waist"),
        ("--height", "height", "standing, without shoes"),
        ("--inside-leg-height", "inside_leg_height", "from the floor up to the crotch"),
        ("--knee-height", "knee_height", "from the floor up to the middle of the kneecap"),
        ("--calf-height", "calf_height", "from the floor up to the fullest part of the calf"),
        ("--ankle-height", "ankle_height", "from the floor up to the narrowest part above the ankle bone"),
    )
)


def _media(default: str = "A4") -> tuple[Option, ...]:
    """What patterns go on; any of them can be repeated."""
    sizes = (
        "A4 or Letter for home printers, A0, A1, A2, ANSI-C, ANSI-D or ANSI-E for print shops; repeat it for several "
        f"(default: {default})"
    )
    rolls, projections = "a print shop's roll of this width, as in 914", "a page for a projector, light or dark"
    return (
        _option("--page", dest="pages", action="append", metavar="SIZE", help=sizes),
        _option("--roll", dest="rolls", action="append", metavar="MM", help=rolls),
        _option("--projection", dest="projections", action="append", choices=("light", "dark"), help=projections),
    )


def _only(what: str) -> Option:
    return _option("--only", metavar="LABELS", help=f"{what} just these sizes, as in H100,H104")


def _cloth(meaning: str, **more: Any) -> Option:
    return _option("--cloth", metavar="CM", help=meaning, **more)


def _cloths(meaning: str, **more: Any) -> Option:
    return _cloth(meaning, dest="cloths", action="append", **more)


def _json(what: str) -> Option:
    return _option("--json", action="store_true", help=f"print the {what} as JSON")


def _draft_options(draft: ArgumentParser) -> None:
    draft.description = "Draft one size of a design and write its pattern: a PDF for each page size, and pieces.json."
    _add(
        draft,
        DESIGN,
        _option(
            "measurements",
            metavar="MEASUREMENTS.toml",
            nargs="?",
            help="the body to draft for; or give the measurement options instead",
        ),
        OUT,
        RISE,
        *_media(),
        _cloth("draft for this width of cloth, selvedge to selvedge (default: any width)"),
        *LYING,
        FIT,
        _option("--svg", action="store_true", help="write each piece as SVG, too: for drawing programs and cutters"),
        _option("--dxf", action="store_true", help="write the pieces as DXF, too: for cutting-room systems"),
        _option("--size", metavar="LABEL", help="size label (default: the file's, or H and the hip girth in cm)"),
        _option(
            "--adjust",
            action="append",
            metavar="NAME=AMOUNT",
            type=_amount,
            help="what the fitting of a toile found, as in full-seat=12mm or hollow-back=1 (in the unit of the "
            "measurements); repeat it for several. The guide lists them",
        ),
        _option(
            "--before-after",
            action="store_true",
            help="write a page that shows what was adjusted, before and after over one another, and an SVG of it",
        ),
        _option(
            "--guide",
            action="store_true",
            help="write the guide for this one wearer, too: elastics, cloth to buy, a lay and the steps",
        ),
        _json("summary"),
    )
    body = draft.add_argument_group("measurement options", "The first four are needed when no file is given.")
    _add(body, *MEASUREMENTS, _option("--unit", choices=("cm", "in"), help="unit of these options (default: cm)"))


def _range_options(sizes: ArgumentParser) -> None:
    sizes.description = (
        "Draft every size of a table and write nested PDFs, each size a layer to switch on and off: one "
        "for each rise, for sizes in one piece and split ones. With them come the pieces as JSON, the tables of the "
        "range (tables.csv, tables.json), its grading (grade.csv) and a manifest (manifest.json). A size that cannot "
        "be drafted is left out."
    )
    _add(
        sizes,
        *(DESIGN, SIZES, OUT, RISES, *_media(), _only("print")),
        _option("--each", action="store_true", help="write a PDF of each size alone, too"),
        *(_cloth("width of the cloth, selvedge to selvedge (default: 140)"), *LYING, FIT),
        _option("--strict", action="store_true", help="write nothing if any size cannot be drafted"),
        *(WORKERS, _json("report")),
    )


def _elastics_options(elastics: ArgumentParser) -> None:
    elastics.description = (
        "List the elastics of a wearer with the waist of one size and the hips of another, or for a "
        "wearer's own measurements, and say which size to cut. Nothing is written."
    )
    _add(
        elastics,
        *(DESIGN, SIZES),
        _option("--waist-size", metavar="LABEL", help="the size that fits the waist"),
        _option("--hip-size", metavar="LABEL", help="the size that fits the hips: the pattern to cut"),
        _option(
            "--measurements",
            metavar="FILE.toml",
            help="the wearer's own, instead of --waist-size; the pattern is then the size with the nearest hip girth",
        ),
        _option(
            "--above",
            metavar="CM",
            help="cut casings at this height of the design, and higher, for the waist size alone (default: none)",
        ),
        RISE,
    )
    printed = elastics.add_mutually_exclusive_group()
    tables = _option("--csv", action="store_true", help="print the list as CSV, in the columns of tables.csv")
    _add(printed, _json("list"), tables)


def _batch_options(batch: ArgumentParser) -> None:
    batch.description = (
        "Draft every order of an order book to its own measurements, rise, paper and cloth. Each gets a "
        "folder with its PDF and pieces.json. Run it again to go on after a stop, or to draft what has changed; "
        "failures.csv lists the orders that could not be drafted."
    )
    _add(
        batch,
        DESIGN,
        _option("orders", metavar="ORDERS.csv", help="the order book: one row for each order"),
        *(OUT, WORKERS),
        _option("--scheduler", metavar="ADDRESS", help="draft on the Dask cluster at tcp://HOST:PORT instead"),
        _json("summary"),
    )


def _lay_options(lay: ArgumentParser) -> None:
    lay.description = (
        "Lay every size of a table out on cloth and write lay plans, the cloth requirement and the "
        "notions. The search for a short lay stops on the clock, so each lay is kept in a file beside the design and "
        "used again."
    )
    cloths = _cloths("width of the cloth; repeat it for several", required=True)
    _add(lay, DESIGN, SIZES, OUT, cloths, *LYING, FIT, _only("lay"), RISES, *SEARCH, BOOKLET, _json("summary"))


def _guide_options(guide: ArgumentParser) -> None:
    guide.description = (
        "Draft every size of a table and write the guide to them all: how to print, measure, choose, buy, "
        "cut and sew, with every table and a diagram for every step."
    )
    cloth = _cloth("width of the cloth that what is wider is split for (default: 140)")
    _add(guide, DESIGN, SIZES, OUT, BOOKLET, RISES, cloth)


def _publish_options(publish: ArgumentParser) -> None:
    publish.description = (
        "Make a whole release of a range and write it at once: patterns on every paper, vectors, tables, lay plans, "
        "the guide, and a manifest with the SHA-256 of each file. A run that fails leaves an earlier release as it is; "
        "one that succeeds removes what only the earlier one had, and leaves files that are not ours."
    )
    media = _media("A4, Letter, A0, a roll of 914 mm and a light projection")
    cloths = _cloths("width of the cloth that what is wider is split for; repeat it for lays on others (default: 140)")
    _add(publish, DESIGN, SIZES, OUT, RISES, *media, cloths, *LYING, *SEARCH, WORKERS, _json("manifest"))


def _inspect_options(inspect: ArgumentParser) -> None:
    inspect.description = (
        "Read a PDF that this program wrote and report its pages, scale, calibration squares, fonts, layers and "
        "colours, and whether it is safe to send to a print shop: proved, page by page, to be as it was written. Given "
        "the folder of a release, hold its files against the manifest and prove each PDF."
    )
    place = _option("file", metavar="FILE.pdf|FOLDER", help="the file, or the folder of a release")
    _add(inspect, place, _json("findings"))


def _serve_options(serve: ArgumentParser) -> None:
    serve.description = (
        "Open pages in the browser on the designs of a folder: the counter, where a wearer types measurements and "
        "takes the pattern home, and the desk, where you change a design beside its drawing and publish it. Only this "
        "machine sees them unless --host names an address that others reach; then there is the counter alone. The "
        "contributor guide says how to put it behind a proxy."
    )
    _add(
        serve,
        _option("folder", metavar="FOLDER", help="the folder with the designs"),
        _option(
            "--host",
            metavar="ADDRESS",
            help="the address to be at; others than the loopback's open the counter alone (default: 127.0.0.1)",
        ),
        _option("--port", metavar="N", help="the port to be at (default: 8741)"),
        _option(
            "--name",
            dest="names",
            action="append",
            metavar="HOST",
            help="a name that a proxy passes on, as pattern.example.org; repeat it for several. Then there is no desk",
        ),
        _option(
            "--proxy",
            dest="proxies",
            action="append",
            metavar="ADDRESS",
            help="a proxy, or network of them, to believe about whom it asks for; repeat it for several. Then there "
            "is no desk",
        ),
        _option("--rate", metavar="N", help="requests that one client may make in a second (default: 40)"),
        WORKERS,
    )


def _add(command: Options, *options: Option) -> None:
    for names, about in options:
        command.add_argument(*names, **about)


def _request(kind: type[Asked], arguments: Namespace) -> Asked:
    """What a command line asks for; what it does not say is as it is by itself."""
    from dataclasses import fields  # noqa: PLC0415 - each command loads what it needs, and help needs none of it

    given = vars(arguments)
    return kind(**{field.name: given[field.name] for field in fields(kind) if given[field.name] is not None})


def _draft(arguments: Namespace) -> int:
    from output.commands.draft import DraftRequest, draft  # noqa: PLC0415

    arguments.measured, arguments.adjust = dict(arguments.measured or ()), dict(arguments.adjust or ())
    return _written(_printed(draft(_request(DraftRequest, arguments)), arguments))


def _range(arguments: Namespace) -> int:
    from output.commands.range import RangeRequest, write_range  # noqa: PLC0415

    made = write_range(_request(RangeRequest, arguments))
    return _written(_printed(made, arguments), made.complaint)


def _elastics(arguments: Namespace) -> int:
    from output.commands.elastics import ElasticsRequest, elastics  # noqa: PLC0415

    found = elastics(_request(ElasticsRequest, arguments))
    return _told(found.csv() if arguments.csv else _printed(found, arguments))


def _batch(arguments: Namespace) -> int:
    from output.commands.batch import BatchRequest, batch  # noqa: PLC0415

    done = batch(_request(BatchRequest, arguments))
    return _written(_printed(done, arguments), done.complaint, OURS if done.faulty else YOURS)


def _lay(arguments: Namespace) -> int:
    from output.commands.lay import LayRequest, lay  # noqa: PLC0415

    laid = lay(_request(LayRequest, arguments))
    return _written(_printed(laid, arguments), laid.complaint)


def _guide(arguments: Namespace) -> int:
    from output.commands.guide import GuideRequest, guide  # noqa: PLC0415

    return _written(guide(_request(GuideRequest, arguments)).text())


def _publish(arguments: Namespace) -> int:
    from output.commands.publish import PublishRequest, publish  # noqa: PLC0415

    return _written(_printed(publish(_request(PublishRequest, arguments)), arguments))


def _inspect(arguments: Namespace) -> int:
    from output.commands.inspect import InspectRequest, inspect  # noqa: PLC0415

    found = inspect(_request(InspectRequest, arguments))
    return _told(_printed(found, arguments), found.complaint)


def _serve(arguments: Namespace) -> int:
    from output.serve.server import ServeRequest, serve  # noqa: PLC0415

    serve(_request(ServeRequest, arguments))
    return DONE


def _printed(report: Report, arguments: Namespace) -> str:
    """A report, for programs if that was asked for."""
    return report.json() if arguments.json else report.text()


COMMANDS = {
    "draft": ("draft one size and write its pattern", _draft_options, _draft),
    "range": ("draft every size of a table and nest them", _range_options, _range),
    "elastics": ("list the elastics of a wearer between sizes", _elastics_options, _elastics),
    "batch": ("draft every order of an order book", _batch_options, _batch),
    "lay": ("lay sizes out on cloth and reckon what to buy", _lay_options, _lay),
    "guide": ("write the guide to print, choose, cut and sew", _guide_options, _guide),
    "publish": ("make a whole release of a range", _publish_options, _publish),
    "inspect": ("read a PDF back and say whether it is safe to print", _inspect_options, _inspect),
    "serve": ("open the pages for a browser", _serve_options, _serve),
}
"""What each command is for, what adds its options, and what runs it and returns the exit code."""


def _run(arguments: Namespace) -> int:
    if arguments.version:
        from output.system.version import version  # noqa: PLC0415 - slow to import

        say(f"shirrline {version()}")
        return DONE
    if arguments.command is None:
        from drafting.errors import DraftError  # noqa: PLC0415

        raise DraftError(f"command: missing; it may be {', '.join(COMMANDS)}: see shirrline --help")
    _check_folder()
    gc.set_threshold(UNCOLLECTED)
    _, _, run = COMMANDS[arguments.command]
    return run(arguments)


def _check_folder() -> None:
    """See that the working folder is there.

    Raises:
        OutputError: it has been deleted.
    """
    try:
        os.getcwd()  # noqa: PTH109 - help must be quick
    except OSError as error:
        from drafting.errors import OutputError  # noqa: PLC0415

        raise OutputError(
            f"working folder: it cannot be used: {error.strerror}; change to one that is there, as by: cd"
        ) from None


def _written(text: str, complaint: str = "", code: int = YOURS) -> int:
    """Say what was written, then what was not, and return the exit code."""
    return _told(text, complaint, code, "; what was made is written all the same")


def _told(text: str, complaint: str = "", code: int = YOURS, comfort: str = "") -> int:
    """Say a text, then a complaint if there is one, and return the exit code."""
    from drafting.errors import OutputError  # noqa: PLC0415

    unsaid = DONE
    try:
        say(text)
    except OutputError as error:
        unsaid = _failed(f"{error}{comfort}", YOURS)
    return _failed(complaint, code) if complaint else unsaid


def _failed(message: str, code: int) -> int:
    """Complain and return the exit code."""
    complain(message)
    return code
