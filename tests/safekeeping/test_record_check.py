"""What looks through the record after a kill names what is wrong with it: else nothing is shown."""

import sqlite3
from contextlib import closing
from types import SimpleNamespace

import pytest
from django.db import connection
from PIL import Image

from fittings.models import Photograph
from tests.atwork import record
from tests.atwork.hands import Entry, Log
from tests.atwork.killing import Killed, new_house, served, staff
from tests.databases import default_database, sqlite_url
from tests.factories import (
    BookingFactory,
    FittingFactory,
    GarmentFactory,
    MeasurementFactory,
    MeasurementSetFactory,
    ObservationFactory,
    TicketFactory,
)


def hand(*kept, sent=()):
    """Somebody who was told that these entries are kept, and has sent those besides."""
    of = [[Entry("seen", "", {}, words) for words in said] for said in (kept, sent)]
    return SimpleNamespace(log=Log(sent=of[0] + of[1], kept=of[0]))


@pytest.mark.django_db
def test_lost_and_doubled_entries_are_named():
    for words in ("once", "twice", "twice", "unanswered", "unanswered"):
        ObservationFactory(note=words)
    hands = [hand("once", "twice"), hand("gone", sent=["unanswered", "never came"])]

    lost = [entry.words for entry in record.lost(hands)]
    doubled = [entry.words for entry in record.doubled(hands)]

    assert (lost, doubled) == (["twice", "gone"], ["twice", "unanswered"])


@pytest.mark.django_db
def test_everything_half_there_is_named(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path
    Image.new("RGB", (40, 60)).save(tmp_path / "whole.jpg")
    fitting, booking = FittingFactory(), BookingFactory(version=2)
    photograph = Photograph.objects.create(
        image="whole.jpg",
        thumbnail="not-there.jpg",
        customer=fitting.customer,
        fitting=fitting,
        garment=GarmentFactory(),
        by=fitting.fitter,
    )
    assert record.broken_pictures() == [("a photograph", photograph.pk)]
    (tmp_path / "whole.jpg").write_bytes((tmp_path / "whole.jpg").read_bytes()[:-80])
    sheet, ticket = MeasurementSetFactory(), TicketFactory()

    assert sorted(record.halves()) == sorted(
        [
            ("a session without its garment", fitting.pk),
            ("a booking without its garment", booking.pk),
            ("a booking's entries", booking.pk),
            ("a ticket without its revision", ticket.pk),
            ("a sheet's figures", sheet.pk),
            ("a photograph", photograph.pk),
            ("a photograph", photograph.pk),
        ]
    )


def test_row_that_leads_nowhere_and_broken_rule_are_named(sqlite_database):
    """Written past the ledger, by a connection that keeps no rules."""
    fitting = FittingFactory()
    MeasurementFactory()
    with closing(sqlite3.connect(connection.settings_dict["NAME"])) as past:
        past.execute("PRAGMA ignore_check_constraints = ON")
        past.execute("INSERT INTO fittings_fitting_garments VALUES (1, ?, 99)", [fitting.pk.hex])
        past.execute(
            "INSERT INTO customers_measurement (in_set_id, point, side, reading, value)"
            " SELECT in_set_id, point, side, 3, value FROM customers_measurement"
        )
        past.commit()

    broken, (table, row, parent, _) = record.unsound()

    assert broken == "CHECK constraint failed in customers_measurement"
    assert (table, row, parent) == ("fittings_fitting_garments", 1, "garments_garment")


@pytest.mark.long
def test_disk_that_forgets_what_it_kept_is_found_out(house_template, tmp_path, django_db_blocker):
    """The whole way through: after a kill the file is as it was before the work."""
    data = new_house(house_template, tmp_path)
    file = data / "ledger.sqlite3"
    database = default_database(sqlite_url(file))
    with django_db_blocker.unblock(), database, served(data) as server:
        hands = staff(fitters=2, desks=1)
        before = file.read_bytes()

        def kill():
            server.kill()
            connection.close()
            file.write_bytes(before)
            file.with_name(f"{file.name}-journal").unlink(missing_ok=True)

        killed = Killed(server, hands, seed=8, kill=kill)
        while not killed.kept:
            killed.run()

    kept = [entry.words for hand in hands for entry in hand.log.kept]
    assert [what.words for _, what in killed.wrong] == kept
