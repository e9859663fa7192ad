"""What is known, on disk: kept whole, set aside when damaged, one keeper a folder."""

import os
import sqlite3

import pytest
from command_line import HOME, write_home
from keeper_house import START, House, agenda, motor

from suncover.base.errors import RequestError
from suncover.keeper.plain import from_plain, to_plain
from suncover.keeper.plan_process import agenda_at
from suncover.keeper.planner import signature
from suncover.keeper.state import Held, State
from suncover.keeper.store import FolderLock, Store

DAY = [(1000, 5000, 100)]


def busy_house() -> House:
    house = House(agenda(motor("a", DAY), motor("b"))).known(a=0).linked().until(1001)
    house.state = State(house.state.key, house.state.number, house.state.shades, Held(5.0))
    return house


def test_what_is_known_is_there_again(tmp_path):
    house = busy_house()
    store = Store(tmp_path, "then")
    store.save(house.state, tuple(order for _, order in house.orders))
    store.close()
    again = Store(tmp_path, "then")
    assert again.damage == ""
    assert again.state.shades == house.state.shades
    assert (again.state.number, again.state.hold) == (1, Held(5.0))
    assert again.state.shades["a"].flight is not None
    again.close()


def test_the_key_of_a_folders_orders_stays(tmp_path):
    first = Store(tmp_path, "then")
    first.close()
    again = Store(tmp_path, "then")
    again.close()
    assert again.state.key == first.state.key


@pytest.mark.parametrize("damage", [b"", b"\0" * 5000, b"SQLite format 3\0" + os.urandom(5000)])
def test_a_damaged_database_is_set_aside(tmp_path, damage):
    store = Store(tmp_path, "then")
    store.save(busy_house().state, ())
    store.close()
    store.path.write_bytes(damage)
    again = Store(tmp_path, "then")
    assert dict(again.state.shades) == {}
    if damage:
        assert "set aside" in again.damage
        assert (tmp_path / "keeper.sqlite.damaged-then").read_bytes() == damage
    again.save(busy_house().state, ())
    again.close()


def test_a_row_that_means_nothing_is_damage_too(tmp_path):
    store = Store(tmp_path, "then")
    store.save(busy_house().state, ())
    store.close()
    base = sqlite3.connect(store.path)
    with base:
        base.execute("update shades set state = '{\"position\": ' where slug = 'a'")
    base.close()
    again = Store(tmp_path, "then")
    assert "set aside" in again.damage
    again.close()


def test_a_disk_that_is_full_is_told_by_an_error_and_loses_nothing(tmp_path):
    store = Store(tmp_path, "then")
    pages = store._base.execute("pragma page_count").fetchone()[0]
    store._base.execute(f"pragma max_page_count = {pages}")
    many = agenda(*(motor(f"shade-{number}", DAY) for number in range(200)))
    house = House(many).known(**{m.slug: 0.0 for m in many.motors})
    with pytest.raises(sqlite3.OperationalError):
        store.save(house.state, ())
    store._base.execute("pragma max_page_count = 100000")
    store.save(house.state, ())
    store.close()
    again = Store(tmp_path, "then")
    again.close()
    assert len(again.state.shades) == 200


def test_one_keeper_a_folder(tmp_path):
    first = FolderLock(tmp_path / "new" / "folder")
    with pytest.raises(RequestError, match="another keeper runs with this folder"):
        FolderLock(tmp_path / "new" / "folder")
    first.close()
    FolderLock(tmp_path / "new" / "folder").close()


def test_a_folder_that_cannot_be(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(RequestError, match="name another with --state"):
        FolderLock(tmp_path / "file")


def test_records_go_there_and_back():
    house = busy_house()
    assert from_plain(State, to_plain(house.state)) == house.state
    assert from_plain(type(house.agenda), to_plain(house.agenda)) == house.agenda


def test_an_agenda_knows_what_it_was_made_of(tmp_path):
    """A file that is changed while the plan is made is seen to have changed."""
    path = write_home(tmp_path, f'{HOME}[keeper]\nbroker = "mqtt://127.0.0.1"\n')
    made = agenda_at(path, START)
    assert made.files == (str(path),)
    assert made.signature == signature(made.files)
    path.write_text(path.read_text().replace("travel = 75", "travel = 60"))
    assert made.signature != signature(made.files)
