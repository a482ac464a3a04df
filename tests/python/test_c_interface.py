"""The C interface from another language: refusals are statuses with a text, never a crash."""

import ctypes
import threading
import zlib
from pathlib import Path

import layshaft
import pytest
from layshaft import _core

NEAREST = _core.nearest_path("x" * 100_000)
OK, BAD_INPUT, STOPPED = 0, 1, 2
LIBRARY = Path(_core.__file__).parent / "lib" / "liblayshaft_c.so"


class Described(ctypes.Structure):
    """`layshaft_variable` of the header."""

    _fields_ = [
        ("size", ctypes.c_size_t),
        *((name, ctypes.c_char_p) for name in ("name", "unit", "meaning", "choices")),
        *((name, ctypes.c_int) for name in ("role", "kind")),
        *((name, ctypes.c_double) for name in ("fallback", "minimum", "maximum")),
    ]


@pytest.fixture(scope="module")
def c() -> ctypes.CDLL:
    library = ctypes.CDLL(str(LIBRARY))
    library.layshaft_last_error.restype = ctypes.c_char_p
    library.layshaft_version.restype = ctypes.c_char_p
    library.layshaft_variable_count.restype = ctypes.c_size_t
    library.layshaft_event_count.restype = ctypes.c_size_t
    return library


@pytest.fixture
def car(c: ctypes.CDLL) -> ctypes.c_void_p:
    handle = ctypes.c_void_p()
    assert c.layshaft_create(None, ctypes.byref(handle)) == OK
    yield handle
    c.layshaft_destroy(handle)


def get(c: ctypes.CDLL, car: ctypes.c_void_p, name: bytes) -> float:
    value = ctypes.c_double()
    assert c.layshaft_get(car, name, ctypes.byref(value)) == OK, c.layshaft_last_error()
    return value.value


def test_the_version_is_that_of_the_package(c: ctypes.CDLL) -> None:
    assert c.layshaft_version().decode() == layshaft.__version__


@pytest.mark.parametrize("name", ["two_speed.gap", "two_speed.slug_mass"])
def test_a_name_for_both_shoes_is_a_variable_like_others(
    c: ctypes.CDLL, car: ctypes.c_void_p, name: str
) -> None:
    number, seen = ctypes.c_size_t(), Described(size=ctypes.sizeof(Described))
    assert c.layshaft_find(name.encode(), ctypes.byref(number)) == OK
    assert c.layshaft_describe(number, ctypes.byref(seen)) == OK
    field = {field.path: field for field in layshaft.fields()}[
        name.replace("two_speed.", "two_speed.shoe_1.")
    ]
    assert (seen.name.decode(), seen.unit.decode()) == (name, field.unit)
    assert (seen.fallback, seen.minimum, seen.maximum) == (
        field.fallback,
        field.minimum,
        field.maximum,
    )
    assert c.layshaft_set(car, name.encode(), ctypes.c_double(field.maximum)) == OK
    value = ctypes.c_double()
    one = ctypes.c_size_t(1)
    assert c.layshaft_get_many(car, ctypes.byref(number), one, ctypes.byref(value)) == OK
    assert value.value == field.maximum
    for shoe in ("shoe_1", "shoe_2"):
        assert get(c, car, name.replace("speed.", f"speed.{shoe}.").encode()) == field.maximum


def test_every_variable_is_described(c: ctypes.CDLL) -> None:
    table = _core.variables()
    assert c.layshaft_variable_count() == len(table)
    for number, row in enumerate(table):
        seen = Described(size=ctypes.sizeof(Described))
        found = ctypes.c_size_t()
        assert c.layshaft_describe(ctypes.c_size_t(number), ctypes.byref(seen)) == OK
        assert seen.name.decode() == row.name
        assert (seen.unit.decode(), seen.meaning.decode()) == (row.unit, row.meaning)
        assert seen.choices.decode() == " ".join(row.choices)
        bounds = (seen.fallback, seen.minimum, seen.maximum)
        assert bounds == (row.fallback, row.minimum, row.maximum)
        assert c.layshaft_find(seen.name, ctypes.byref(found)) == OK
        assert found.value == number


def test_a_caller_that_knows_less_of_a_struct_gets_no_more(c: ctypes.CDLL) -> None:
    short = Described.meaning.offset
    seen = Described(size=short, meaning=b"untouched")
    assert c.layshaft_describe(ctypes.c_size_t(0), ctypes.byref(seen)) == OK
    assert (seen.size, seen.meaning) == (short, b"untouched")
    assert seen.name.decode() == _core.variables()[0].name
    for extra in range(1, ctypes.sizeof(ctypes.c_char_p)):  # ends within a member
        part = Described(size=short + extra, meaning=b"untouched")
        assert c.layshaft_describe(ctypes.c_size_t(0), ctypes.byref(part)) == OK
        assert part.meaning == b"untouched"
    unset = Described(size=0)
    assert c.layshaft_describe(ctypes.c_size_t(0), ctypes.byref(unset)) == BAD_INPUT
    assert c.layshaft_last_error() == b"variable->size must be set to its sizeof"


def test_text_with_units_and_choices_is_set(c: ctypes.CDLL, car: ctypes.c_void_p) -> None:
    assert c.layshaft_set_text(car, b"two_speed.gap", b"4.6 mm") == OK
    assert get(c, car, b"two_speed.shoe_2.gap") == 0.0046
    assert get(c, car, b"two_speed.gap") == 0.0046
    assert c.layshaft_set(car, b"two_speed.shoe_1.gap", ctypes.c_double(0.0047)) == OK
    value = ctypes.c_double(-1.0)
    assert c.layshaft_get(car, b"two_speed.gap", ctypes.byref(value)) == BAD_INPUT
    assert value.value == -1.0
    assert c.layshaft_last_error().startswith(b"the shoes differ: read two_speed.shoe_1.gap and")
    assert c.layshaft_set_text(car, b"clutch.design", b"thrown_shoes") == OK
    assert get(c, car, b"clutch.design") == 1.0
    assert c.layshaft_set_text(car, b"run.start_speed", b"36 km/h") == OK
    assert get(c, car, b"car_speed") == 0.0
    assert c.layshaft_reset(car) == OK
    assert get(c, car, b"car_speed") == 10.0


def test_inputs_count_at_once_and_events_are_told(c: ctypes.CDLL, car: ctypes.c_void_p) -> None:
    time = ctypes.c_double()
    assert c.layshaft_set(car, b"throttle", ctypes.c_double(1.0)) == OK
    assert c.layshaft_step_to_event(car, ctypes.c_double(3.0), ctypes.byref(time)) == OK
    assert 0.0 < time.value < 3.0
    assert c.layshaft_event_count(car) >= 1
    assert c.layshaft_step_to(car, ctypes.c_double(3.0), ctypes.byref(time)) == OK
    numbers = (ctypes.c_size_t * 2)()
    for place, name in enumerate((b"car_speed", b"throttle")):
        assert (
            c.layshaft_find(name, ctypes.byref(numbers, place * ctypes.sizeof(ctypes.c_size_t)))
            == OK
        )
    values = (ctypes.c_double * 2)()
    assert c.layshaft_get_many(car, numbers, ctypes.c_size_t(2), values) == OK
    assert list(values) == [get(c, car, b"car_speed"), 1.0]


def test_refusals_name_what_is_wrong_and_change_nothing(
    c: ctypes.CDLL, car: ctypes.c_void_p
) -> None:
    value, size = ctypes.c_double(), ctypes.c_size_t()
    out, number = ctypes.byref(value), ctypes.c_size_t(100_000)
    refused = {
        "throttle = 1.5 must be from 0 to 1": lambda: c.layshaft_set(
            car, b"throttle", ctypes.c_double(1.5)
        ),
        "unknown variable two_sped.gap; nearest known field: two_speed.gap": lambda: c.layshaft_get(
            car, b"two_sped.gap", out
        ),
        "car_speed is an output, it cannot be set": lambda: c.layshaft_set(
            car, b"car_speed", ctypes.c_double(1.0)
        ),
        "time = -1 must be not before the present": lambda: c.layshaft_step_to(
            car, ctypes.c_double(-1.0), out
        ),
        "car must not be a null pointer": lambda: c.layshaft_reset(None),
        "name must not be a null pointer": lambda: c.layshaft_get(car, None, out),
        "value must not be a null pointer": lambda: c.layshaft_get(car, b"brake", None),
        "number = 100000 must be less than 0": lambda: c.layshaft_get_event(car, number, out),
        "bytes must be what layshaft_state_size says": lambda: c.layshaft_save(
            car, out, ctypes.c_size_t(8)
        ),
        "these numbers are no saved state of this version": lambda: c.layshaft_load(
            car, out, ctypes.c_size_t(8)
        ),
        'line 1: two_speed.gap = "4.6 g" must be a number in m, or one in mm, cm, um, in': lambda: (
            c.layshaft_create(b'two_speed.gap = "4.6 g"', ctypes.byref(ctypes.c_void_p()))
        ),
        'two_speed.gap = "4,6 mm" must be a number in m, or one in mm, cm, um, in': lambda: (
            c.layshaft_set_text(car, b"two_speed.gap", b"4,6 mm")
        ),
        'clutch.design = "x" must be axial or thrown_shoes': lambda: c.layshaft_set_text(
            car, b"clutch.design", b"x"
        ),
        "line 1: expected = before the end of the line": lambda: c.layshaft_create(
            b"x", ctypes.byref(ctypes.c_void_p())
        ),
        f"unknown variable {'x' * 57}...; nearest known field: {NEAREST}": lambda: c.layshaft_get(
            car, b"x" * 100_000, out
        ),
        f'two_speed.gap = "{"9" * 57}..." must be a number in m, or one in mm, cm, um, in': (
            lambda: c.layshaft_set_text(car, b"two_speed.gap", b"9" * 100_000)
        ),
    }
    for message, call in refused.items():
        assert call() == BAD_INPUT, message
        assert c.layshaft_last_error().decode() == message
    assert get(c, car, b"throttle") == 0.0
    assert c.layshaft_state_size(car, ctypes.byref(size)) == OK
    c.layshaft_destroy(None)


def test_a_run_that_cannot_go_on_says_so_and_where(c: ctypes.CDLL, car: ctypes.c_void_p) -> None:
    size, time = ctypes.c_size_t(), ctypes.c_double()
    assert c.layshaft_state_size(car, ctypes.byref(size)) == OK
    good = (ctypes.c_double * (size.value // 8))()
    assert c.layshaft_save(car, good, size) == OK
    statuses = set()
    for index in range(len(good) - 1):
        spoilt = type(good)(*good)
        spoilt[index] = 1e300  # Finite, but its square is not.
        spoilt[-1] = zlib.crc32(bytes(spoilt)[:-8])  # the checksum, else it is not even read
        if c.layshaft_load(car, spoilt, size) == OK:
            status = c.layshaft_step_to(car, ctypes.c_double(0.1), ctypes.byref(time))
            assert (status == STOPPED) == (time.value < 0.1)
            assert status == OK or c.layshaft_last_error() != b""
            statuses.add(status)
            if status == STOPPED:
                again = type(good)()
                assert c.layshaft_save(car, again, size) == OK
                assert bytes(again) == bytes(spoilt)
    assert STOPPED in statuses
    assert c.layshaft_load(car, good, size) == OK
    assert c.layshaft_step_to(car, ctypes.c_double(0.1), ctypes.byref(time)) == OK


def test_a_saved_state_of_which_a_byte_was_changed_is_refused(
    c: ctypes.CDLL, car: ctypes.c_void_p
) -> None:
    size = ctypes.c_size_t()
    assert c.layshaft_state_size(car, ctypes.byref(size)) == OK
    good = (ctypes.c_ubyte * size.value)()
    assert c.layshaft_save(car, good, size) == OK
    for place in range(size.value):
        spoilt = type(good)(*good)
        spoilt[place] ^= 1 << (place % 8)
        assert c.layshaft_load(car, spoilt, size) == BAD_INPUT, place
        assert b"no saved state" in c.layshaft_last_error()
    assert c.layshaft_load(car, good, size) == OK


def test_each_thread_has_its_own_last_error(c: ctypes.CDLL) -> None:
    assert c.layshaft_reset(None) == BAD_INPUT
    seen = []
    thread = threading.Thread(target=lambda: seen.append(c.layshaft_last_error()))
    thread.start()
    thread.join()
    assert seen == [b""]
    assert c.layshaft_last_error() == b"car must not be a null pointer"


def test_parts_that_do_not_go_together_are_refused_at_the_reset(
    c: ctypes.CDLL, car: ctypes.c_void_p
) -> None:
    assert c.layshaft_set(car, b"first.pinion", ctypes.c_double(40.0)) == OK
    assert c.layshaft_reset(car) == BAD_INPUT
    assert c.layshaft_last_error() != b""
    time = ctypes.c_double()
    assert c.layshaft_step_to(car, ctypes.c_double(0.1), ctypes.byref(time)) == OK


class Interval(ctypes.Structure):
    """`layshaft_interval` of the header."""

    _fields_ = [(name, ctypes.c_double) for name in ("value", "low", "high")]


def test_what_is_learned_is_what_python_learns_and_is_set(
    c: ctypes.CDLL, car: ctypes.c_void_p
) -> None:
    believed = layshaft.demo_car()
    heard = [(4.2e-3, 67 / 3.6), (4.8e-3, 57 / 3.6)]
    paths = ("two_speed.zero_preload_reading", "two_speed.friction")
    own = layshaft.learn(
        believed,
        [layshaft.observe("shift_speed", v, changes={"two_speed.gap": gap}) for gap, v in heard],
        paths,
    )
    lines = [f"unknown {each.path} {each.doubt!r}" for each in own.unknowns]
    lines += [f"seen shift_speed {v!r} {2 / 3.6!r} two_speed.gap {gap!r}" for gap, v in heard]
    question, found, end = "\n".join(lines).encode(), (Interval * 2)(), ctypes.c_int(-1)
    count = ctypes.c_size_t(2)
    assert c.layshaft_learn(car, question, found, count, ctypes.byref(end)) == OK
    assert end.value == 0
    assert [(each.value, each.low, each.high) for each in found] == [
        (each.value, each.low, each.high) for each in own.intervals
    ]
    for path in (*paths, "two_speed.static_friction"):
        assert get(c, car, path.encode()) == own.car[path]


@pytest.mark.parametrize(
    ("question", "count", "said"),
    [
        (b"unknown two_speed.friction 0.02", 2, b"count = 2 must be as many"),
        (b"unknown two_speed.frction 0.02", 1, b"unknown field two_speed.frction"),
        (b"unknown two_speed.friction 0.02\nheard 1", 1, b"a line must be"),
        (b"unknown two_speed.friction 0.02", 1, b"nothing was seen"),
    ],
)
def test_a_question_that_cannot_be_changes_nothing(
    c: ctypes.CDLL, car: ctypes.c_void_p, question: bytes, count: int, said: bytes
) -> None:
    found, end = (Interval * 2)(), ctypes.c_int(-1)
    before = get(c, car, b"two_speed.friction")
    status = c.layshaft_learn(car, question, found, ctypes.c_size_t(count), ctypes.byref(end))
    assert status == BAD_INPUT
    assert said in c.layshaft_last_error()
    assert (found[0].value, end.value) == (0.0, -1)
    assert get(c, car, b"two_speed.friction") == before
