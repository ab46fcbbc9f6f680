"""Laying chapters: nothing that a student changed is ever overwritten."""

import json
from pathlib import Path

import pytest

from potash import workspace
from potash.preparation import Preparation, default_text
from potash.workspace import ChaptersMissing, FolderUnusable, Workspace, lay_chapters


@pytest.fixture
def source(tmp_path, monkeypatch):
    """Chapters of our own, so that a test can bring out a newer edition."""
    source = tmp_path / "source"
    (source / "assets" / "pictures").mkdir(parents=True)
    (source / "staff").mkdir()
    (source / "00-first.ipynb").write_text("first, edition 1")
    (source / "01-second.ipynb").write_text("second, edition 1")
    (source / "assets" / "pictures" / "flame.svg").write_text("<svg/>")
    (source / "staff" / "key.toml").write_text("for staff")
    (source / "notes.txt").write_text("no chapter")
    monkeypatch.setattr(workspace, "chapters_source", lambda: source)
    return source


def contents(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text("utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_new_folder_gets_chapters_assets_and_a_preparation_and_nothing_of_the_staff(
    tmp_path, source
):
    laid = lay_chapters(tmp_path / "mine")
    assert laid.copied == (
        "00-first.ipynb", "01-second.ipynb", "assets/pictures/flame.svg", "preparation.toml",
    )  # fmt: skip
    assert laid.updated == laid.kept == ()
    assert set(contents(tmp_path / "mine")) == {*laid.copied, "potash.json"}
    assert Workspace(tmp_path / "mine").preparation() == Preparation.default()


def test_laying_twice_changes_nothing(tmp_path, source):
    lay_chapters(tmp_path / "mine")
    before = contents(tmp_path / "mine")
    laid = lay_chapters(tmp_path / "mine")
    assert (laid.copied, laid.updated, laid.kept) == ((), (), ())
    assert contents(tmp_path / "mine") == before


def test_a_newer_chapter_replaces_an_untouched_one_and_spares_a_changed_one(tmp_path, source):
    mine = tmp_path / "mine"
    lay_chapters(mine)
    (mine / "00-first.ipynb").write_text("my own notes")
    (source / "00-first.ipynb").write_text("first, edition 2")
    (source / "01-second.ipynb").write_text("second, edition 2")
    laid = lay_chapters(mine)
    assert laid.kept == ("00-first.ipynb",)
    assert laid.updated == ("01-second.ipynb",)
    assert (mine / "00-first.ipynb").read_text() == "my own notes"
    assert (mine / "01-second.ipynb").read_text() == "second, edition 2"


def test_a_changed_chapter_stays_kept_through_further_editions(tmp_path, source):
    mine = tmp_path / "mine"
    lay_chapters(mine)
    (mine / "00-first.ipynb").write_text("my own notes")
    for edition in (2, 3):
        (source / "00-first.ipynb").write_text(f"first, edition {edition}")
        assert lay_chapters(mine).kept == ("00-first.ipynb",)
    assert (mine / "00-first.ipynb").read_text() == "my own notes"


def test_a_chapter_of_unknown_origin_is_kept(tmp_path, source):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "00-first.ipynb").write_text("from somewhere else")
    assert lay_chapters(mine).kept == ("00-first.ipynb",)
    assert (mine / "00-first.ipynb").read_text() == "from somewhere else"


def test_a_deleted_chapter_is_laid_again(tmp_path, source):
    mine = tmp_path / "mine"
    lay_chapters(mine)
    (mine / "00-first.ipynb").unlink()
    assert lay_chapters(mine).copied == ("00-first.ipynb",)


def test_a_saved_preparation_is_never_replaced(tmp_path, source):
    mine = tmp_path / "mine"
    lay_chapters(mine)
    own = Preparation.default().replace({"reagents.hydroxide.mass": "4.65 g"})
    own.save(mine / "preparation.toml")
    lay_chapters(mine)
    assert Workspace(mine).preparation() == own


@pytest.mark.parametrize("target", ["elsewhere.ipynb", "nowhere.ipynb"])
def test_a_link_is_kept_and_what_it_points_to_stays_untouched(tmp_path, source, target):
    mine = tmp_path / "mine"
    mine.mkdir()
    (tmp_path / "elsewhere.ipynb").write_text("mine, elsewhere")
    (mine / "00-first.ipynb").symlink_to(tmp_path / target)
    assert lay_chapters(mine).kept == ("00-first.ipynb",)
    assert (mine / "00-first.ipynb").is_symlink()
    assert (tmp_path / "elsewhere.ipynb").read_text() == "mine, elsewhere"
    assert not (tmp_path / "nowhere.ipynb").exists()


def test_a_linked_assets_folder_is_not_written_through(tmp_path, source):
    mine, elsewhere = tmp_path / "mine", tmp_path / "elsewhere"
    mine.mkdir()
    elsewhere.mkdir()
    (mine / "assets").symlink_to(elsewhere)
    assert lay_chapters(mine).kept == ("assets/pictures/flame.svg",)
    assert contents(elsewhere) == {}


def test_a_workspace_that_is_itself_a_link_is_laid_into(tmp_path, source):
    (tmp_path / "real").mkdir()
    (tmp_path / "mine").symlink_to(tmp_path / "real")
    assert len(lay_chapters(tmp_path / "mine").copied) == 4
    assert (tmp_path / "real" / "00-first.ipynb").is_file()


def test_a_folder_with_the_name_of_a_chapter_is_kept(tmp_path, source):
    (tmp_path / "mine" / "00-first.ipynb").mkdir(parents=True)
    assert lay_chapters(tmp_path / "mine").kept == ("00-first.ipynb",)


@pytest.mark.parametrize("name", ["späte Übung 3", "-rf", "a'b\"c", "kalium ⚗", "x" * 200])
def test_odd_folder_names_work(tmp_path, source, name):
    assert len(lay_chapters(tmp_path / name).copied) == 4


@pytest.mark.parametrize("broken", ["", "{", "[1, 2]", '{"laid": 3}', "[" * 100_000, "\xff"])
def test_a_record_that_cannot_be_read_is_put_aside_and_no_chapter_is_lost(tmp_path, source, broken):
    mine = tmp_path / "mine"
    lay_chapters(mine)
    (mine / "00-first.ipynb").write_text("my own notes")
    (mine / "potash.json").write_text(broken, "latin-1")
    assert lay_chapters(mine).kept == ("00-first.ipynb",)
    assert (mine / "potash.unreadable.json").read_text("latin-1") == broken
    assert set(json.loads((mine / "potash.json").read_text())["laid"]) == {
        "01-second.ipynb", "assets/pictures/flame.svg",
    }  # fmt: skip


def test_other_entries_of_the_record_survive(tmp_path, source):
    lay_chapters(tmp_path)
    record = json.loads((tmp_path / "potash.json").read_text())
    (tmp_path / "potash.json").write_text(json.dumps({**record, "other": "kept"}))
    (source / "02-third.ipynb").write_text("third")
    lay_chapters(tmp_path)
    assert json.loads((tmp_path / "potash.json").read_text())["other"] == "kept"


def test_a_file_in_place_of_the_folder_is_named(tmp_path, source):
    (tmp_path / "mine").write_text("a file")
    with pytest.raises(FolderUnusable, match='mine" is a file'):
        lay_chapters(tmp_path / "mine")
    assert (tmp_path / "mine").read_text() == "a file"


def test_a_folder_whose_parent_is_missing_is_named_and_nothing_is_made(tmp_path, source):
    with pytest.raises(FolderUnusable, match=r'no" does not exist'):
        lay_chapters(tmp_path / "no" / "mine")
    assert not (tmp_path / "no").exists()


def test_a_read_only_folder_gives_a_reason_and_stays_empty(tmp_path, source, monkeypatch):
    # Root writes through permissions, so the refusal comes from the writer itself.
    def refuse(path, content, *, mode=0o644):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(workspace, "write_atomically", refuse)
    mine = tmp_path / "mine"
    mine.mkdir()
    with pytest.raises(FolderUnusable, match=r"mine.*cannot hold the workbook: permission denied"):
        lay_chapters(mine)
    assert contents(mine) == {}


def test_the_folder_of_the_original_chapters_is_refused(tmp_path, source):
    before = contents(source)
    for folder in (source, source / "assets"):
        with pytest.raises(FolderUnusable, match="where the original chapters lie"):
            lay_chapters(folder)
    assert contents(source) == before


def test_without_chapters_the_message_says_what_to_do(tmp_path, monkeypatch):
    monkeypatch.setattr(workspace, "__file__", str(tmp_path / "a" / "b" / "c" / "workspace.py"))
    with pytest.raises(ChaptersMissing, match="Install Potash again"):
        workspace.chapters_source()


def test_the_real_chapters_lie_beside_the_package_or_in_the_repository():
    assert workspace.chapters_source().name in ("workbook", "_workbook")


@pytest.mark.parametrize("marker", ["potash.json", "handout.json", "preparation.toml"])
def test_the_workspace_is_the_nearest_folder_upward_with_a_marker(tmp_path, marker):
    inner = tmp_path / "mine" / "deep" / "deeper"
    inner.mkdir(parents=True)
    (tmp_path / marker).write_text("")
    (tmp_path / "mine" / marker).write_text("")
    found = Workspace.find(inner)
    assert found.folder == (tmp_path / "mine").resolve()
    assert found.sheet_path == found.folder / "answers.json"
    assert found.handout_path == found.folder / "handout.json"


def test_without_a_marker_the_workspace_is_the_folder_itself(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert Workspace.find().folder == tmp_path.resolve()


def test_the_laid_preparation_has_its_comments(tmp_path, source):
    lay_chapters(tmp_path / "mine")
    assert (tmp_path / "mine" / "preparation.toml").read_text("utf-8") == default_text()
