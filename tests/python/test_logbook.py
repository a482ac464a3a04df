"""A logbook gives back what was put in, and refuses by name what it cannot hold."""

import datetime
from collections.abc import Iterator
from pathlib import Path

import layshaft
import pytest

DAY = "2026-05-02"
#: Names and notes that would do harm where text is taken for a command.
NASTY = (
    "'; DROP TABLE run; --",
    'x"); DELETE FROM setup; --',
    "%s ? :name $1",
    "Robert'); UPDATE day SET note = '",
)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[layshaft.Logbook]:
    with layshaft.open_logbook(tmp_path / "season.db", create=True) as book:
        book.add_setup("dry", layshaft.demo_car())
        book.add_day(DAY)
        yield book


def heard(speed: str = "65 km/h", gap: str = "4.4 mm") -> layshaft.Observation:
    return layshaft.observe("shift_speed", speed, changes={"two_speed.gap": gap})


def test_a_set_up_comes_back_bit_for_bit(book: layshaft.Logbook) -> None:
    car = layshaft.Car({"two_speed.gap": "4.37 mm", "first.pinion": 16}).replace(
        {"engine.torque": layshaft.demo_car("broad")["engine.torque"]}
    )
    book.add_setup("wet", car)
    assert book.setup("wet") == car
    assert book.setup("dry") == layshaft.demo_car()
    assert book.setups() == ("dry", "wet")


def test_a_name_stands_for_one_car_for_ever(book: layshaft.Logbook) -> None:
    book.add_setup("dry", layshaft.demo_car())  # the same once more
    with pytest.raises(ValueError, match="setup = 'dry' is another's name here; take a new one"):
        book.add_setup("dry", layshaft.Car({"first.pinion": 16}))
    assert book.setup("dry") == layshaft.demo_car()


def test_tracks_come_back_as_they_were(book: layshaft.Logbook) -> None:
    club = layshaft.demo_track("club")
    assert book.add_track(club) == club.name
    assert book.add_track("fast", name="fast, wet") == "fast, wet"
    assert book.track(club.name) == club
    assert book.tracks() == (club.name, "fast, wet")


def test_a_days_weather_is_kept_in_si_units_and_added_to(book: layshaft.Logbook) -> None:
    track = book.add_track("club")
    book.add_day("2026-05-03", air_temperature="24 degC", track=track)
    later = book.add_day(
        "2026-05-03",
        track_temperature="31 degC",
        air_pressure="985 hPa",
        relative_humidity="55 %",
        note="sun after ten",
        replace=True,
    )
    assert later == book.day(datetime.date(2026, 5, 3))
    assert (later.air_temperature, later.track_temperature) == (297.15, 304.15)
    assert (later.air_pressure, later.relative_humidity) == (98500.0, 0.55)
    assert (later.track, later.note) == (track, "sun after ten")
    car = layshaft.demo_car().replace(later.changes)
    assert (car["air.temperature"], car["air.pressure"]) == (297.15, 98500.0)
    assert [day.date for day in book.days()] == [DAY, "2026-05-03"]


def test_runs_come_back_with_what_was_seen(book: layshaft.Logbook) -> None:
    seen = [
        heard(),
        layshaft.observe("lap_time", "16.2 s", track="club"),
        layshaft.observe("time", "3.2 s", distance="60 m", error="0.05 s"),
    ]
    first = book.add_run(DAY, "dry", seen, note="new clutch")
    second = book.add_run(DAY, "dry")
    (one, other) = book.runs(DAY)
    assert (one.number, other.number) == (first, second)
    assert (one.seen, one.note, one.setup, one.date) == (tuple(seen), "new clutch", "dry", DAY)
    assert other.seen == ()
    assert book.runs() == (one, other)


def test_a_runs_logs_come_back_bit_for_bit(book: layshaft.Logbook) -> None:
    launched = layshaft.run_log(
        "engine_speed",
        [0.1, 0.5, 0.7],
        [1500.0, 3100.1, 2900.0],
        error="300 rpm",
        changes={"two_speed.gap": "4.4 mm", "first.pinion": 17},
        start_speed="20 km/h",
    )
    driven = layshaft.lap_log("car_speed", [10.0, 30.0], [20.0, 22.0], track="club", error="1 km/h")
    book.add_run(DAY, "dry", [heard(), launched, driven])
    book.add_run(DAY, "dry", [heard()])
    one, other = book.runs()
    assert (one.seen, one.logs) == ((heard(),), (launched, driven))
    assert (other.seen, other.logs) == ((heard(),), ())
    book.remove_run(one.number)
    assert book.runs() == (other,)


def test_a_run_struck_out_is_gone_and_its_number_is_not_used_again(book: layshaft.Logbook) -> None:
    number = book.add_run(DAY, "dry", [heard()])
    book.remove_run(number)
    assert book.runs() == ()
    assert book.add_run(DAY, "dry") == number + 1
    with pytest.raises(ValueError, match=f"run = {number} is not in the logbook"):
        book.remove_run(number)


def test_a_phones_list_is_taken_in_line_by_line_once(
    book: layshaft.Logbook, tmp_path: Path
) -> None:
    phone = tmp_path / "phone.csv"
    text = "gap_mm,shift_speed_km_per_h,time_s\n4.4,65,3.2\n4.6,61,\n4.6,61,\n"
    phone.write_text(text)
    assert len(book.import_list(phone, DAY, "dry")) == 3  # two lines alike are two runs
    assert [len(run.seen) for run in book.runs()] == [2, 1, 1]
    assert [each for run in book.runs() for each in run.seen] == layshaft.read_observations(phone)
    assert book.import_list(phone, DAY, "dry") == ()
    phone.write_text(text + "4.8,57,\n")
    assert len(book.import_list(phone, DAY, "dry")) == 1
    book.remove_run(2)
    assert book.import_list(phone, DAY, "dry") == ()  # what was struck out stays so
    book.add_day("2026-05-03")
    assert len(book.import_list(phone, "2026-05-03", "dry")) == 4


def test_a_list_with_a_fault_leaves_nothing_behind(book: layshaft.Logbook, tmp_path: Path) -> None:
    phone = tmp_path / "phone.csv"
    phone.write_text("gap_mm,shift_speed_km_per_h\n4.4,65\n4.6,9000\n")
    with pytest.raises(layshaft.SetupError, match=r"phone.csv:3: .*shift_speed = '9000"):
        book.import_list(phone, DAY, "dry")
    assert book.runs() == ()


def test_a_write_that_fails_in_the_middle_leaves_nothing_behind(
    book: layshaft.Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    from layshaft.logbook import run_store

    monkeypatch.setattr(run_store, "plain_observation", lambda _: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        book.add_run(DAY, "dry", [heard()])
    monkeypatch.undo()
    assert book.runs() == ()
    assert book.add_run(DAY, "dry", [heard()])


def test_advice_is_kept_with_what_became_of_it(book: layshaft.Logbook) -> None:
    told = "Turn both screws 0.56 in."
    first = book.add_advice(DAY, "dry", told, {"two_speed.gap": "4.11 mm", "first.pinion": 16})
    second = book.add_advice(DAY, "dry", "Leave it.")
    book.judge(first, False, note="no grip by then")
    one, other = book.advice(DAY)
    assert (one.number, one.said, one.setup, one.date) == (first, told, "dry", DAY)
    assert one.settings == {"two_speed.gap": 0.00411, "first.pinion": 16.0}
    assert (one.helped, one.note) == (False, "no grip by then")
    assert (other.number, other.helped, other.settings) == (second, None, {})
    book.judge(first, True)
    assert book.advice()[0].helped is True


def test_a_recommendation_goes_in_as_it_is(book: layshaft.Logbook) -> None:
    found = layshaft.recommend(book.setup("dry"), {"two_speed.gap": ["4.2 mm", "4.6 mm"]})
    book.add_advice(DAY, "dry", layshaft.reports.advice_sentences(found)[0], found.settings)
    assert book.advice()[0].settings == found.settings


@pytest.mark.parametrize("text", NASTY)
def test_text_that_looks_like_sql_is_text(book: layshaft.Logbook, text: str) -> None:
    car = layshaft.Car({"first.pinion": 16})
    book.add_setup(text, car)
    track = book.add_track("club", name=text)
    book.add_day("2026-06-01", note=text, track=track)
    book.add_run("2026-06-01", text, [heard()], note=text)
    book.judge(book.add_advice("2026-06-01", text, text), True, note=text)
    assert (book.advice()[0].said, book.advice()[0].note) == (text, text)
    assert book.setups() == ("dry", text)
    assert book.setup(text) == car
    assert (book.day("2026-06-01").note, book.day("2026-06-01").track) == (text, text)
    (run,) = book.runs()
    assert (run.setup, run.note) == (text, text)
    for refused in (lambda: book.setup(text + "x"), lambda: book.runs(text)):
        with pytest.raises(ValueError, match=r"setup = |day = "):
            refused()
    assert book.setups() == ("dry", text)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda book: book.add_day("2.5.2026"), r"day = '2.5.2026' must be a date such as"),
        (lambda book: book.add_day("20260503"), r"day = '20260503' must be a date such as"),
        (lambda book: book.add_day(DAY), f"day = {DAY} is in the logbook already"),
        (
            lambda book: book.add_day("2026-05-03", air_temperature="90 degC"),
            r"air_temperature = '90 degC' must be .* to 56.85 degC",
        ),
        (
            lambda book: book.add_day("2026-05-03", relative_humidity=55),
            r"relative_humidity = 55 must be .*1",
        ),
        (
            lambda book: book.add_day("2026-05-03", track="hall"),
            "track = 'hall' is not in the logbook, which has no track yet",
        ),
        (lambda book: book.add_day("2026-05-03", note="a\nb"), r"note = .* must be text in one"),
        (lambda book: book.add_setup("", layshaft.demo_car()), "setup = '' must be a name of 1"),
        (lambda book: book.add_setup("x" * 81, layshaft.demo_car()), "must be a name of 1 to 80"),
        (
            lambda book: book.add_run(DAY, "dyr", [heard()]),
            "setup = 'dyr' is not in the logbook; the nearest name there is dry",
        ),
        (
            lambda book: book.add_run("2026-05-09", "dry", [heard()]),
            f"day = '2026-05-09' is not in the logbook; the nearest name there is {DAY}",
        ),
        (
            lambda book: book.add_run(
                DAY, "dry", [layshaft.observe(lambda run: 1.0, 1.0, error=1.0)]
            ),
            "a name of letters",
        ),
        (
            lambda book: book.add_run(DAY, "dry", [layshaft.observe(_own, 1.0, error=1.0)]),
            "seen: _own is a function of your own, which no file can hold",
        ),
        (lambda book: book.add_advice(DAY, "dry", ""), "said = '' must say what was advised"),
        (
            lambda book: book.add_advice(DAY, "dry", "Do.", {"two_speed.gap": "4 kg"}),
            "two_speed.gap = '4 kg' must be",
        ),
        (lambda book: book.judge(3, True), "advice = 3 is not in the logbook"),
        (lambda book: book.remove_run(10**30), "run = 1000.* must be a whole number below"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_written(
    book: layshaft.Logbook, call: object, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        call(book)
    assert (book.setups(), len(book.days()), book.runs()) == (("dry",), 1, ())


def _own(run: object) -> float:
    return 1.0


@pytest.mark.parametrize(
    "call",
    [
        lambda book: book.add_setup("x", "car.toml"),
        lambda book: book.add_run(DAY, "dry", ["65 km/h"]),
        lambda book: book.judge(1, "yes"),
        lambda book: book.add_day("2026-05-03", note_of_the_day="x"),
        lambda book: book.add_day("2026-05-03", **{"note = '' --": 300.0}),
    ],
)
def test_what_is_of_another_kind_is_refused(book: layshaft.Logbook, call: object) -> None:
    with pytest.raises(TypeError):
        call(book)
    assert (book.setups(), len(book.days()), book.runs()) == (("dry",), 1, ())
