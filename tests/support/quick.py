"""What ``pytest -m quick`` runs: whole files, or single tests of files that are slow as a whole.

Something of every room, in three quarters of a minute.
"""

from __future__ import annotations

QUICK = frozenset(
    {
        "tests/golden/test_golden.py",
        "tests/house/test_children.py",
        "tests/house/test_packaging.py",
        "tests/house/test_quick.py",
        "tests/house/test_readme.py",
        "tests/house/test_view.py",
        "tests/journeys/monkey/test_monkey.py::test_it_knows_the_screens",
        "tests/outside/test_textbooks.py",
        "tests/problems/test_chance.py",
        "tests/problems/test_isolation.py",
        "tests/problems/analysis/test_response.py",
        "tests/problems/catalogue/test_families.py::test_names_are_unique_slugs_and_levels_ascend",
        "tests/problems/circuits/test_circuit.py",
        "tests/problems/circuits/test_notation.py",
        "tests/problems/circuits/test_preferred.py",
        "tests/problems/formulas/test_echo.py",
        "tests/problems/generate/test_generator.py::test_neighbouring_seeds_differ",
        "tests/problems/generate/test_generator.py::test_unknown_family",
        "tests/problems/grading/test_grader.py::test_how_it_was_read_is_echoed",
        "tests/problems/grading/test_grader.py::test_trouble_says_what_and_how_to_mend",
        "tests/problems/hints/test_counterfact.py::test_the_reason_fits_the_mistake",
        "tests/problems/hints/test_hints.py::test_every_kind_of_question_has_hints",
        "tests/problems/hints/test_hints.py::test_feed_of_a_textbook_l_section",
        "tests/problems/quantities/test_quantities.py",
        "tests/problems/questions/test_kinds.py",
        "tests/problems/sheets/test_board.py",
        "tests/problems/sketches/test_sketch.py",
        "tests/problems/slips/test_slips.py::test_choices",
        "tests/problems/slips/test_slips.py::test_counts_and_shapes",
        "tests/problems/slips/test_slips.py::test_formulas_of_mistakes_are_named",
        "tests/problems/solutions/test_worked.py",
        "tests/tutor/browser/test_names.py",
        "tests/tutor/browser/test_page.py",
        "tests/tutor/classroom/test_plan.py",
        "tests/tutor/classroom/test_roster.py",
        "tests/tutor/classroom/test_slugs.py",
        "tests/tutor/cli/test_console.py",
        "tests/tutor/coach/test_progress.py",
        "tests/tutor/documents/test_html.py",
        "tests/tutor/drafting/test_bench.py",
        "tests/tutor/drafting/test_undo.py",
        "tests/tutor/figures/test_blank_drawing.py",
        "tests/tutor/files/test_installing.py",
        "tests/tutor/language/test_days.py",
        "tests/tutor/language/test_folding.py",
        "tests/tutor/learning/test_climb.py",
        "tests/tutor/phrases/test_look_words.py::test_a_circuit_is_one_line",
        "tests/tutor/phrases/test_look_words.py::test_verbs_come_in_both_numbers",
        "tests/tutor/plain/test_plain.py",
        "tests/tutor/screens/test_typing.py",
        "tests/tutor/store/test_keeper.py",
        "tests/tutor/store/test_schema.py",
    }
)
FILES = frozenset(name.partition("::")[0] for name in QUICK)
