"""Results as tables and sentences: the words of the command line."""

from layshaft.quantities.late_names import late_names

#: The public names, each with the module that holds it; for type checkers they stand in
#: `__init__.pyi`, which a test compares.
_HOMES = {
    "PitTable": "pit_table",
    "advice_sentences": "advice_report",
    "advised_rows": "logbook_report",
    "card_advice": "card_report",
    "card_settings": "card_report",
    "comparison_rows": "logbook_report",
    "corner_rows": "lap_report",
    "day_rows": "logbook_report",
    "distance_rows": "launch_report",
    "doubts_rows": "doubts_report",
    "doubts_sentences": "doubts_report",
    "energy_rows": "energy_report",
    "facts_sentences": "facts_report",
    "front_rows": "front_report",
    "front_sentences": "front_report",
    "gear_rows": "facts_report",
    "lap_sentences": "lap_report",
    "learned_sentences": "learned_report",
    "mesh_rows": "gear_report",
    "run_rows": "logbook_report",
    "run_summary": "launch_report",
    "scatter_sentences": "scatter_report",
    "season_rows": "logbook_report",
    "season_sentences": "logbook_report",
    "seen_rows": "learned_report",
    "sheet_sentences": "measuring_report",
    "stint_sentences": "lap_report",
    "story_rows": "launch_report",
    "suggestion_sentence": "learned_report",
    "sweep_rows": "sweep_report",
    "sweep_sentences": "sweep_report",
    "tyre_sentences": "gear_report",
}
__all__ = sorted(_HOMES)

__getattr__ = late_names(__name__, _HOMES, globals())


def __dir__() -> list[str]:
    return list(__all__)
