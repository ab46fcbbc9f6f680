"""Atomic writing and capped reading."""

import os
import stat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash import files
from potash.files import FileTooLarge, read_capped, write_atomically


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())


def test_text_is_written_as_utf8_with_its_own_line_ends(tmp_path):
    write_atomically(tmp_path / "a.txt", "85 °C\r\n−1 kJ\n")
    assert (tmp_path / "a.txt").read_bytes() == "85 °C\r\n−1 kJ\n".encode()


@given(content=st.binary(max_size=200))
def test_bytes_come_back_as_written(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("files") / "a.bin"
    write_atomically(path, content)
    assert read_capped(path, 200) == content


def test_writing_leaves_no_other_file_behind(tmp_path):
    write_atomically(tmp_path / "a.txt", "one")
    write_atomically(tmp_path / "a.txt", "two")
    assert names_in(tmp_path) == ["a.txt"]
    assert (tmp_path / "a.txt").read_text() == "two"


def test_the_mode_is_the_one_asked_for(tmp_path):
    write_atomically(tmp_path / "secret", "x", mode=0o600)
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600


def test_a_power_cut_before_the_flush_leaves_the_old_file_whole(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    write_atomically(path, "old")

    def power_cut(descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", power_cut)
    with pytest.raises(OSError, match="No space left"):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert names_in(tmp_path) == ["a.txt"]


def test_the_content_is_flushed_before_the_name_is_taken(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    seen = []
    flush = os.fsync

    def noting(descriptor):
        seen.append(path.exists())
        flush(descriptor)

    monkeypatch.setattr(files.os, "fsync", noting)
    write_atomically(path, "new")
    assert seen[0] is False  # first the content under another name, then the folder


def test_a_missing_folder_is_an_error_and_nothing_is_made(tmp_path):
    with pytest.raises(FileNotFoundError):
        write_atomically(tmp_path / "no" / "a.txt", "x")
    assert names_in(tmp_path) == []


def test_a_file_over_the_limit_is_refused_with_its_name(tmp_path):
    (tmp_path / "big.json").write_bytes(b"x" * 101)
    with pytest.raises(FileTooLarge, match=r"big\.json is larger than the 0\.0001 MB"):
        read_capped(tmp_path / "big.json", 100)


def test_a_file_at_the_limit_is_read(tmp_path):
    (tmp_path / "a.json").write_bytes(b"x" * 100)
    assert len(read_capped(tmp_path / "a.json", 100)) == 100
