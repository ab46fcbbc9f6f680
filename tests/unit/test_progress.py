"""How far a student has come, counted from the answer sheet on the disk."""

from potash.exercises.progress import progress


def test_an_untouched_handout_has_everything_open(classroom):
    found = progress(classroom.sheet("s01"))
    assert found.recorded == 0
    assert found.questions == sum(len(one.asked) for one in classroom.sheet("s01").exercises())
    assert found.next_chapter == 2
    assert found.predictions == 0


def test_recorded_answers_and_predictions_count_and_blank_ones_do_not(classroom):
    sheet = classroom.sheet("s01")
    sheet.record("two-for-one", {"potassium": "0.2 mol", "why": "   "})
    sheet.record_prediction("charge: theoretical yield", "5 g", "4.83 g")
    found = progress(classroom.sheet("s01"))
    assert (found.recorded, found.predictions) == (1, 1)
    assert not found.chapters[2].complete


def test_a_complete_sheet_leaves_no_chapter_to_go_on_with(classroom):
    sheet = classroom.sheet("s01")
    for issued in sheet.exercises():
        sheet.record(issued.id, {asked.name: "1" for asked in issued.asked})
    found = progress(sheet)
    assert found.recorded == found.questions
    assert found.next_chapter is None
    assert all(one.complete for one in found.chapters.values())
