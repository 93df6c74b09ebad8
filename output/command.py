"""The command line. Only the standard library's argparse is loaded until a draft is asked for: help must be quick.

Exit codes: 0 done, 2 the input or the place to write is at fault, 1 the program is, 130 interrupted.
"""

from __future__ import annotations

import os
import sys
from argparse import ArgumentParser, HelpFormatter, Namespace

TYPE_CHECKING = False  # known to type checkers by its name; importing it would double the time to help
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from typing import NoReturn

    from blocks.measurements import Body
    from output.paper import Paper

DONE, OURS, YOURS, INTERRUPTED = 0, 1, 2, 130

MEASUREMENTS = {
    "waist": ("waist_girth", "round the natural waist"),
    "hip": ("hip_girth", "round the fullest part of the hips"),
    "body_rise": ("body_rise", "seated, from waist to chair along the side"),
    "waist_to_hip": ("waist_to_hip", "down from waist to hip level along the side"),
    "high_hip": ("high_hip_girth", "round the hips over the hip bones"),
    "thigh": ("thigh_girth", "round one thigh just below the crotch"),
    "crotch_length": ("crotch_length", "from front waist between the legs to back waist"),
    "height": ("height", "standing, without shoes"),
}
"""The measurement options, each with the measurement it gives."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program and return its exit code; every failure is one line on standard error."""
    try:
        _run(_parser().parse_args(argv))
        sys.stdout.flush()
    except SystemExit as stop:  # argparse, after help or a mistyped option
        return int(stop.code or DONE)
    except KeyboardInterrupt:
        return _failed("interrupted", INTERRUPTED)
    except BrokenPipeError:  # the reader of our output has left; the files are written
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:
        from drafting.errors import DraftError  # noqa: PLC0415 - not needed for help

        if isinstance(error, DraftError):
            return _failed(str(error), YOURS)
        return _failed(
            f"internal error: {type(error).__name__}: {error}; please report it with the design and the measurements",
            OURS,
        )
    return DONE


class _Parser(ArgumentParser):
    def error(self, message: str) -> NoReturn:
        sys.exit(_failed(f"{message}; see {self.prog} --help", YOURS))


def _formatter(prog: str) -> HelpFormatter:
    try:
        width = os.get_terminal_size().columns
    except OSError:
        width = 100
    return HelpFormatter(prog, width=min(100, width - 2), max_help_position=30)  # given a width, it imports less


def _parser() -> ArgumentParser:
    parser = _Parser(
        prog="shirrline",
        formatter_class=_formatter,
        allow_abbrev=False,
        description="Draft flat patterns for gathered, elastic-cased legwear and publish them as printable PDFs.",
    )
    parser.add_argument("--version", action="store_true", help="show the version and stop")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    draft = commands.add_parser(
        "draft",
        formatter_class=_formatter,
        allow_abbrev=False,
        help="draft a short and write its pattern",
        description="Draft one size of a design and write its pattern: a PDF for each page size, and pieces.json.",
    )
    draft.add_argument("design", metavar="DESIGN.toml", help="the design")
    draft.add_argument(
        "measurements",
        metavar="MEASUREMENTS.toml",
        nargs="?",
        help="the body to draft for; or give the measurement options instead",
    )
    draft.add_argument("--out", metavar="FOLDER", required=True, help="where to write; made when missing")
    draft.add_argument("--rise", choices=("high", "mid"), default="high", help="height of the waist (default: high)")
    draft.add_argument("--page", action="append", metavar="SIZE", help="A4 or Letter; repeat it for both (default: A4)")
    draft.add_argument("--size", metavar="LABEL", help="size label (default: the file's, or H and the hip girth in cm)")
    draft.add_argument("--json", action="store_true", help="print the summary as JSON")
    body = draft.add_argument_group("measurement options", "The first four are needed when no file is given.")
    for option, (_, meaning) in MEASUREMENTS.items():
        body.add_argument(f"--{option.replace('_', '-')}", metavar="LENGTH", help=meaning)
    body.add_argument("--unit", choices=("cm", "in"), help="unit of these options (default: cm)")
    return parser


def _run(arguments: Namespace) -> None:
    if arguments.version:
        print(f"shirrline {_version()}")
    elif arguments.command is None:
        from drafting.errors import DraftError  # noqa: PLC0415

        raise DraftError("command: missing; it may be draft: see shirrline --help")
    else:
        _draft(arguments)


def _draft(arguments: Namespace) -> None:
    from blocks.read_design import design_from  # noqa: PLC0415 - see the module's first line
    from blocks.short import draft_short  # noqa: PLC0415
    from output.files import read_toml, write_all  # noqa: PLC0415
    from output.paper import paper_named  # noqa: PLC0415
    from output.pattern_json import pattern_json  # noqa: PLC0415
    from output.summary import Made, summary_json, summary_tables, summary_text  # noqa: PLC0415
    from output.tiled import tiled_pdf  # noqa: PLC0415

    papers = list(dict.fromkeys(paper_named(name) for name in arguments.page or ["A4"]))
    design = design_from(read_toml(arguments.design))
    label, body = _measured(arguments)
    short = draft_short(design, body, rise=arguments.rise, size=label)

    files, made = {}, []
    for paper in _progress(papers):
        name = f"{_slug(design.name.lower())}-{_slug(short.size)}-{short.rise.value}-{paper.name}.pdf"
        pdf = tiled_pdf(
            short.pieces,
            paper=paper,
            title=design.name,
            size=short.size,
            rise=short.rise.value,
            author=design.workroom,
            tables=summary_tables(short),
        )
        files[name] = pdf.data
        made.append(Made(name, pdf.pages))
    files["pieces.json"] = pattern_json(short.pieces)
    made.append(Made("pieces.json"))
    write_all(arguments.out, files)
    _say((summary_json if arguments.json else summary_text)(short, made, arguments.out))


def _measured(arguments: Namespace) -> tuple[str, Body]:
    """The size label, empty for the default, and the body, from a file or from options."""
    from blocks.measurements import body_from, check_label, labelled_body  # noqa: PLC0415
    from drafting.errors import MeasurementError  # noqa: PLC0415
    from output.files import read_toml  # noqa: PLC0415

    given = {name: raw for option, (name, _) in MEASUREMENTS.items() if (raw := getattr(arguments, option)) is not None}
    if arguments.measurements is not None:
        if given or arguments.unit:
            named = ", ".join(given) or "--unit"
            raise MeasurementError(
                f"measurements: {named} given beside the file {arguments.measurements}; give one or the other"
            )
        label, body = labelled_body(read_toml(arguments.measurements))
    elif given:
        label, body = "", body_from({name: _number(raw) for name, raw in given.items()}, unit=arguments.unit or "cm")
    else:
        raise MeasurementError(
            "measurements: missing; give a file of measurements, or --waist, --hip, --body-rise and --waist-to-hip"
        )
    return label if arguments.size is None else check_label(arguments.size), body


def _number(raw: str) -> float | str:
    """A number where one was written; the rest is left for `body_from` to refuse by name."""
    try:
        return float(raw)
    except ValueError:
        return raw


def _slug(text: str) -> str:
    """A text as part of a file name: letters and digits of any script, the rest as hyphens, of moderate length.

    >>> _slug("Heron shorts / 2")
    'Heron-shorts-2'
    """
    return "-".join("".join(letter if letter.isalnum() else " " for letter in text).split())[:30].rstrip("-")


def _progress(papers: Sequence[Paper]) -> Iterable[Paper]:
    """The papers, with a bar on a terminal when they take longer than a second."""
    if not sys.stderr.isatty():
        return papers
    from tqdm import tqdm  # noqa: PLC0415 - slow to import

    return tqdm(papers, desc="pages", unit="file", delay=1, leave=False)


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - slow to import

    try:
        return version("shirrline")
    except PackageNotFoundError:
        return "(not installed)"


def _say(text: str) -> None:
    """Print to standard output, spelling out what its encoding lacks.

    Raises:
        OutputError: standard output cannot be written, as when it goes to a file on a full disk.
    """
    encoding = sys.stdout.encoding or "utf-8"
    try:
        print(text.encode(encoding, "backslashreplace").decode(encoding), flush=True)
    except BrokenPipeError:
        raise
    except OSError as error:
        from drafting.errors import OutputError  # noqa: PLC0415

        raise OutputError(
            f"standard output: cannot be written: {error.strerror}; the pattern itself is written"
        ) from None


def _failed(message: str, code: int) -> int:
    print(f"shirrline: {' '.join(message.split())}", file=sys.stderr)
    return code
