"""The verb that writes the page for the pit, and hands it out."""

from pathlib import Path
from typing import Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import check_ending, check_written
from layshaft.cli.options import CarFile, Settings, echo_caution, plain_errors, read_present
from layshaft.cli.say import say


def page(
    file: Annotated[Path, typer.Argument(help="File to write.")] = Path("pit.html"),
    car: CarFile = None,
    settings: Settings = None,
    parts: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Parts at hand: gears and slugs to try.")
    ] = None,
    track: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TRACK", help="Track for laps to try; repeatable. Else the demo tracks."
        ),
    ] = None,
    title: Annotated[
        str | None, typer.Option(metavar="TEXT", help="Heading; else the name of the car's file.")
    ] = None,
    serve: Annotated[
        bool, typer.Option("--serve", help="Also serve it on this machine until Ctrl-C.")
    ] = False,
    wifi: Annotated[
        bool, typer.Option("--wifi", help="Also serve it to phones on the local Wi-Fi.")
    ] = False,
    port: Annotated[
        int,
        typer.Option(metavar="NUMBER", min=0, max=65535, help="Port to serve it on; 0 for any."),
    ] = 0,
) -> None:
    """Write the car as a page for a phone in the pit, which computes offline."""
    with plain_errors():
        from layshaft.page.page_file import write_page
        from layshaft.page.serving import PageServer, private_address

        check_ending("FILE", file, ".html")
        check_written({"--car": car, "--parts": parts}, {"FILE": file}, {})
        if serve and wifi:
            raise ValueError("--serve and --wifi: give one; --wifi serves this machine too")
        host = private_address() if wifi else "127.0.0.1"
        asked = Asked()
        present = read_present(car, settings, asked)
        box = None if parts is None else layshaft.read_parts(parts)
        tracks = None if track is None else [_track(name) for name in track]
        heading = title or ("Demo car" if car is None else car.stem)
        write_page(present, file, title=heading, parts=box, tracks=tracks)
        asked.echo()
        say(f"Page: {file}, {file.stat().st_size / 1e3:.0f} kB. Copy it to the phone and open it.")
        echo_caution(present)
        if serve or wifi:
            with PageServer(file.read_text(encoding="utf-8"), host, port) as server:
                _tell(server.address, with_code=wifi)
                server.serve_forever()


def _track(name: str) -> "layshaft.Track":
    from layshaft.tracks.track_file import DEMO_TRACKS

    return layshaft.demo_track(name) if name in DEMO_TRACKS else layshaft.read_track(name)


def _tell(address: str, *, with_code: bool) -> None:
    if with_code:
        import segno

        segno.make(address).terminal(compact=True)
    say(f"Open {address} ; Ctrl-C ends it.")
