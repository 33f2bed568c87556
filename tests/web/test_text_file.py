"""A file that pages edit, against a plain model of undo, and against what other programs do to it meanwhile."""

from __future__ import annotations

import tempfile
import threading
from pathlib import Path

import pytest
import tomlkit
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from bagside.errors import InputError, OutputError
from bagside.web.model import text_file
from bagside.web.model.text_file import Conflict, TextFile

TEXT = '# mine\nname = "lid"  # short\n\n[cure]\nservice = "75 °C"  # dark deck\n'


def opened(folder: Path, text: str = TEXT) -> TextFile:
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return TextFile(folder / "job.toml", folder / ".history")


def named(name: str):
    def change(document: tomlkit.TOMLDocument) -> None:
        document["name"] = name

    return change


def test_comments_and_order_stay(tmp_path: Path) -> None:
    file = opened(tmp_path)
    file.edit("renamed", named("hatch"))
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == TEXT.replace('"lid"', '"hatch"')


def test_undo_and_redo_outlast_a_restart(tmp_path: Path) -> None:
    file = opened(tmp_path)
    file.edit("first", named("a"), who="Ada")
    file.edit("second", named("b"))
    again = TextFile(tmp_path / "job.toml", tmp_path / ".history")
    assert [v.what for v in again.versions] == [text_file.BEGUN, "first", "second"]
    assert again.undo().what == "second"
    third = TextFile(tmp_path / "job.toml", tmp_path / ".history")
    assert third.document()["name"] == "a"
    assert third.redo().what == "second"
    assert third.document()["name"] == "b"
    with pytest.raises(InputError, match="nothing to redo"):
        third.redo()


def test_an_edit_from_an_older_state_is_refused_and_names_who_was_first(tmp_path: Path) -> None:
    file = opened(tmp_path)
    seen = file.revision
    file.edit("first", named("a"), who="Ada")
    with pytest.raises(Conflict, match="changed meanwhile by Ada"):
        file.edit("second", named("b"), seen=seen)
    assert file.document()["name"] == "a"


def test_a_file_changed_outside_is_never_written_over(tmp_path: Path) -> None:
    file = opened(tmp_path)
    file.edit("first", named("a"))
    (tmp_path / "job.toml").write_text('name = "by hand"\n', encoding="utf-8")
    with pytest.raises(Conflict):
        file.edit("second", named("b"), seen=file.revision)
    assert file.document()["name"] == "by hand"
    assert file.undo().what == text_file.OUTSIDE  # and even that can be taken back
    assert file.document()["name"] == "a"


def test_undo_refuses_when_the_file_was_changed_outside(tmp_path: Path) -> None:
    file = opened(tmp_path)
    file.edit("first", named("a"))
    (tmp_path / "job.toml").write_text('name = "by hand"\n', encoding="utf-8")
    with pytest.raises(Conflict):
        file.undo()
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == 'name = "by hand"\n'


def test_what_the_check_refuses_is_not_written(tmp_path: Path) -> None:
    file = opened(tmp_path)

    def check(text: str) -> None:
        raise InputError.one("job.toml, name", "", "no")

    with pytest.raises(InputError, match="no"):
        file.edit("bad", named("b"), check=check)
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == TEXT
    assert len(file.versions) == 1


def test_a_full_disk_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = opened(tmp_path)
    monkeypatch.setattr("os.fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    with pytest.raises(OutputError, match="no space"):
        file.edit("first", named("a"))
    monkeypatch.undo()
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == TEXT
    assert TextFile(tmp_path / "job.toml", tmp_path / ".history").document()["name"] == "lid"


def test_a_broken_history_does_not_keep_anybody_out(tmp_path: Path) -> None:
    file = opened(tmp_path)
    file.edit("first", named("a"))
    (tmp_path / ".history" / "states.json").write_text("{", encoding="utf-8")
    again = TextFile(tmp_path / "job.toml", tmp_path / ".history")
    assert again.document()["name"] == "a"
    again.edit("second", named("b"))
    assert again.undo().what == "second"


def test_only_so_many_states_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_file, "MOST", 5)
    file = opened(tmp_path)
    for k in range(12):
        file.edit(f"edit {k}", named(str(k)))
    assert len(file.versions) == 5
    assert len(list((tmp_path / ".history").glob("*.toml"))) == 5


def test_bytes_that_are_no_text_are_told(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_bytes(b"name = \xff\xfe")
    with pytest.raises(InputError, match="UTF-8"):
        TextFile(tmp_path / "job.toml", tmp_path / ".history")


def test_two_windows_at_once_lose_nothing(tmp_path: Path) -> None:
    """Each adds a line of its own and tries again when it was not first: all lines are there in the end."""
    file = opened(tmp_path, "")
    lock = threading.Lock()  # pages live in one loop: calls never overlap, only their states do

    def writer(who: str) -> None:
        for k in range(20):
            while True:
                seen = file.revision
                try:
                    with lock:
                        file.edit(f"{who} {k}", lambda d, k=k: d.update({f"{who}{k}": k}), who=who, seen=seen)
                    break
                except Conflict:
                    continue

    threads = [threading.Thread(target=writer, args=(w,)) for w in "ab"]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert set(file.document()) == {f"{w}{k}" for w in "ab" for k in range(20)}


class Undoing(RuleBasedStateMachine):
    """Against a list of states and a place in it, the plain model of undo."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name)
        self.file = opened(self.path, 'name = "0"\n')
        self.states = ["0"]
        self.at = 0

    def teardown(self) -> None:
        self.folder.cleanup()

    def put(self, name: str) -> None:
        del self.states[self.at + 1 :]
        self.states.append(name)
        self.at += 1

    @rule(name=st.text("abc", min_size=1, max_size=3))
    def edit(self, name: str) -> None:
        changes = name != self.states[self.at]
        self.file.edit("edit", named(name), seen=self.file.revision)
        if changes:
            self.put(name)

    @rule(name=st.text("xyz", min_size=1, max_size=3))
    def outside(self, name: str) -> None:
        (self.path / "job.toml").write_text(f'name = "{name}"\n', encoding="utf-8")
        if self.file.look():
            self.put(name)

    @precondition(lambda self: self.at > 0)
    @rule()
    def undo(self) -> None:
        self.file.undo()
        self.at -= 1

    @precondition(lambda self: self.at + 1 < len(self.states))
    @rule()
    def redo(self) -> None:
        self.file.redo()
        self.at += 1

    @rule()
    def restart(self) -> None:
        self.file = TextFile(self.path / "job.toml", self.path / ".history")

    @invariant()
    def same(self) -> None:
        assert self.file.document()["name"] == self.states[self.at]
        assert (self.file.undone_next is None) == (self.at == 0)
        assert (self.file.redone_next is None) == (self.at + 1 == len(self.states))


TestUndoing = Undoing.TestCase
TestUndoing.settings = settings(max_examples=40, stateful_step_count=25, deadline=None)


def test_what_a_child_wrote_for_us_bears_our_name(tmp_path: Path) -> None:
    file = opened(tmp_path)
    assert not file.written("nothing was")
    (tmp_path / "job.toml").write_text(TEXT.replace("lid", "hatch"), encoding="utf-8")
    assert file.written("renamed", who="Ada")
    assert file.undone_next is not None
    assert (file.undone_next.what, file.undone_next.who) == ("renamed", "Ada")
    assert "lid" in file.beside(-1)
    assert file.beside(1) == ""
    file.forget()
    assert (file.undone_next, file.redone_next) == (None, None)
    again = TextFile(tmp_path / "job.toml", tmp_path / ".history")
    assert [v.what for v in again.versions] == ["renamed"]
    assert len(list((tmp_path / ".history").glob("*.toml"))) == 1


def test_a_state_that_cannot_be_kept_keeps_nobody_from_looking(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk or a locked folder: pages show the file; nothing is written over until its state is kept."""
    file = opened(tmp_path)
    full = True

    def writes(path: Path, text: str) -> None:
        if full and path.parent != tmp_path:
            raise OutputError("no space")
        path.write_text(text, encoding="utf-8")

    monkeypatch.setattr(text_file, "replaced", writes)
    (tmp_path / "job.toml").write_text(TEXT.replace("lid", "hatch"), encoding="utf-8")
    assert file.look()
    assert "hatch" in file.text
    with pytest.raises(OutputError):
        file.write("mine", TEXT.replace("lid", "deck"))
    assert "hatch" in (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert TextFile(tmp_path / "job.toml", tmp_path / "other").text == file.text
    full = False
    file.write("mine", TEXT.replace("lid", "deck"))
    assert [v.what for v in file.versions] == [text_file.BEGUN, text_file.OUTSIDE, "mine"]
    file.undo()
    assert "hatch" in (tmp_path / "job.toml").read_text(encoding="utf-8")
