"""Results as tables and sentences: the words of the command line."""

from layshaft.reports.advice_report import advice_sentences
from layshaft.reports.card_report import card_advice, card_settings
from layshaft.reports.doubts_report import doubts_rows, doubts_sentences
from layshaft.reports.energy_report import energy_rows
from layshaft.reports.facts_report import facts_sentences, gear_rows
from layshaft.reports.front_report import front_rows, front_sentences
from layshaft.reports.gear_report import mesh_rows, tyre_sentences
from layshaft.reports.lap_report import corner_rows, lap_sentences, stint_sentences
from layshaft.reports.launch_report import (
    distance_rows,
    run_summary,
    story_rows,
)
from layshaft.reports.learned_report import learned_sentences, seen_rows, suggestion_sentence
from layshaft.reports.logbook_report import (
    advised_rows,
    comparison_rows,
    day_rows,
    run_rows,
    season_rows,
    season_sentences,
)
from layshaft.reports.measuring_report import sheet_sentences
from layshaft.reports.pit_table import PitTable
from layshaft.reports.scatter_report import scatter_sentences
from layshaft.reports.sweep_report import sweep_rows, sweep_sentences

__all__ = [
    "PitTable",
    "advice_sentences",
    "advised_rows",
    "card_advice",
    "card_settings",
    "comparison_rows",
    "corner_rows",
    "day_rows",
    "distance_rows",
    "doubts_rows",
    "doubts_sentences",
    "energy_rows",
    "facts_sentences",
    "front_rows",
    "front_sentences",
    "gear_rows",
    "lap_sentences",
    "learned_sentences",
    "mesh_rows",
    "run_rows",
    "run_summary",
    "scatter_sentences",
    "season_rows",
    "season_sentences",
    "seen_rows",
    "sheet_sentences",
    "stint_sentences",
    "story_rows",
    "suggestion_sentence",
    "sweep_rows",
    "sweep_sentences",
    "tyre_sentences",
]
