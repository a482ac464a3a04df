"""What stands on the printed card: the settings that hands change, and what to do."""

from layshaft.advice.recommendation import Recommendation
from layshaft.reports.advice_report import confidence_sentence, gain_sentence, what_to_do
from layshaft.reports.wording import capital, setting_text
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked


def card_settings(car: Car) -> list[tuple[str, str]]:
    """List the settings that hands change in the pit, each as its name and its value.

    Returns
    -------
    list of (str, str)
        Numbers in the units of the workshop; of shoes that differ each, first to last.

    Examples
    --------
    >>> import layshaft
    >>> card_settings(layshaft.Car({"two_speed.shoe_2.gap": "4.55 mm"}))[:3]
    [('Gap', '4.40 / 4.55 mm'), ('Slugs', '1 g'), ('1st gear', '17 / 50')]
    """
    checked_car(car)
    return [
        ("Gap", _of_shoes(car, "two_speed.gap")),
        ("Slugs", _of_shoes(car, "two_speed.slug_mass")),
        ("1st gear", f"{car['first.pinion']} / {car['first.spur']}"),
        ("2nd gear", f"{car['second.pinion']} / {car['second.spur']}"),
        _clutch(car),
        ("Rear belt", f"{car['belts.rear.in_teeth']} / {car['belts.rear.out_teeth']}"),
        ("Front belt", f"{car['belts.front.in_teeth']} / {car['belts.front.out_teeth']}"),
        ("Tyres rear / front", f"{_tyre(car, 'rear_tyre')} / {_tyre(car, 'front_tyre')} mm"),
    ]


def card_advice(advice: Recommendation) -> tuple[list[str], list[str]]:
    """Say what to do as steps to be ticked off, and in sentences what that brings.

    Returns
    -------
    (list of str, list of str)
        Steps, none where all is left as it is; and sentences. Numbers in the units of the workshop.
    """
    checked("advice", advice, Recommendation, "layshaft.recommend")
    sure = [] if advice.confidence is None else [confidence_sentence(advice, advice.confidence)]
    if not advice.is_worth_it:
        return [], [what_to_do(advice), *sure]
    return [capital(move.text) for move in advice.moves], [capital(gain_sentence(advice)), *sure]


def _of_shoes(car: Car, path: str) -> str:
    *texts, last = (setting_text(each, car._core.get(each)) for each in field_table.pairs()[path])
    if set(texts) == {last}:
        return last
    return " / ".join([*(text.partition(" ")[0] for text in texts), last])


def _clutch(car: Car) -> tuple[str, str]:
    path = "clutch.axial.nut_turns"
    if car["clutch.design"] != "axial":
        path = "clutch.thrown_shoes.spring_force_at_rest"
    name = "Clutch nut" if car["clutch.design"] == "axial" else "Clutch spring"
    return name, setting_text(path, car._core.get(path))


def _tyre(car: Car, section: str) -> str:
    radius, wear = (car._core.get(f"{section}.{name}") for name in ("radius", "wear"))
    return f"{2e3 * (radius - wear):.1f}"
