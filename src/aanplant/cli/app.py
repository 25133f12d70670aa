"""The commands and their options."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    name="aanplant",
    help="Plan a new vineyard block: where every vine stands, what to order, and why.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


class Units(StrEnum):
    """Units of what is shown."""

    metric = "metric"
    imperial = "imperial"


BriefPath = Annotated[
    Path, typer.Argument(metavar="BRIEF", help="A brief.toml, or the folder that holds it.")
]
UnitsOption = Annotated[
    Units | None,
    typer.Option("--units", help="Units of what is shown; the estate's when left out."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Write the result as JSON.")]


@app.callback(invoke_without_command=True)
def _options(
    version: Annotated[bool, typer.Option("--version", help="Say the version and stop.")] = False,
) -> None:
    if version:
        from aanplant import __version__

        typer.echo(f"aanplant {__version__}")
        raise typer.Exit


@app.command()
def new(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder to make; must not hold anything.")
    ],
) -> None:
    """Write a commented starter estate with one block."""
    from aanplant.cli.new import write_starter

    write_starter(folder)


@app.command()
def plan(  # noqa: PLR0917 - typer makes each an option
    brief: BriefPath,
    units: UnitsOption = None,
    files: Annotated[
        str,
        typer.Option(
            "--files",
            help='Further files: "all", or of csv, dxf, kml, gpx, geojson, orders, tape, chart, '
            "money, stock, trellis, water, site, soil, cards, days, row-sheets, report.",
        ),
    ] = "none",
    output: Annotated[
        Path | None,
        typer.Option(
            "--output", "-o", help="Folder for the plan; the estate's plans folder when left out."
        ),
    ] = None,
    why: Annotated[
        str | None,
        typer.Option(
            "--why",
            metavar="FIGURE",
            help="Only show how a figure came about, such as layout.vines.",
        ),
    ] = None,
    language: Annotated[
        str,
        typer.Option(
            "--language",
            metavar="LANGUAGE",
            help='Language of the papers for the crew, such as "af"; the estate\'s when left out.',
        ),
    ] = "",
    json: JsonOption = False,
) -> None:
    """Lay out a block and write its plan: plan.json, plan.gpkg, the sheet and more."""
    from aanplant.cli.plan import run_plan, show_why

    if why is not None:
        show_why(brief, why, units)
    else:
        run_plan(brief, units, files, output, language, as_json=json)


@app.command()
def vary(
    brief: BriefPath,
    alternatives: Annotated[
        list[str],
        typer.Argument(
            metavar="KEY=VALUE,VALUE…",
            help="What to vary, such as row_width=2.4m,2.5m bearing=0,30,choose.",
        ),
    ],
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Set alternatives of a brief side by side; nothing is written."""
    from aanplant.cli.vary import run_vary

    run_vary(brief, alternatives, units, as_json=json)


@app.command()
def schema() -> None:
    """Write the JSON Schema of a brief, for editors."""
    from aanplant.cli.schema import write_schema

    write_schema()


@app.command()
def demo(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Where the example estate is put.")
    ] = Path("demo"),
    units: UnitsOption = None,
) -> None:
    """Plan the invented example estate, all files included."""
    from aanplant.cli.demo import run_demo

    run_demo(folder, units)


@app.command()
def serve(
    estate: Annotated[
        Path, typer.Argument(metavar="ESTATE", help="The estate's folder; here when left out.")
    ] = Path(),
    host: Annotated[
        str, typer.Option("--host", help="Address to listen on; only this machine's own.")
    ] = "127.0.0.1",
    port: Annotated[
        int, typer.Option("--port", min=1, max=65535, help="Port to listen on.")
    ] = 8766,
) -> None:
    """Serve an estate to the desk page and to other programs on this machine."""
    from aanplant.cli.serve import run_server

    run_server(estate, host, port)
