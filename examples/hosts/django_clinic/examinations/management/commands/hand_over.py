"""Hand what has to go to the FHIR server over to the forwarder's outbox: run it after each save, and every minute."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone
from forwarder.messages import message_of
from forwarder.outbox import Outbox, SameRevisionError

import dermreport
from examinations import saving
from examinations.models import Outgoing


class Command(BaseCommand):
    """Puts each revision in once: if this is killed between the two files, the outbox knows it the next time."""

    help = __doc__ or ""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say where the outbox is."""
        parser.add_argument("outbox", type=Path)

    def handle(self, *_: Any, **options: Any) -> None:  # noqa: ANN401 - Django's
        """Hand over, revisions of one examination in their order; the outbox sends urgent ones first."""
        outbox = Outbox(options["outbox"])
        try:
            for one in Outgoing.objects.filter(handed_over=None).order_by("id").select_related("revision"):
                try:
                    outbox.put(message_of(reviewed(one), earlier=former(one)), time.time())
                except SameRevisionError:
                    # It was put in by an older library, which wrote the same text in another way.
                    self.stdout.write(f"outgoing {one.pk} was there")
                Outgoing.objects.filter(pk=one.pk).update(handed_over=timezone.now())
                self.stdout.write(f"outgoing {one.pk} handed over")
        finally:
            outbox.close()


def reviewed(one: Outgoing) -> dermreport.Review:
    """Return the review of a revision that has to go out."""
    review = saving.checked(one.revision.entry).review
    if review is None:
        raise RuntimeError(f"outgoing {one.pk}: this library can't hold what the one that saved it could")
    return review


def former(one: Outgoing) -> dermreport.Review | None:
    """Return the review of the revision that went out before: what it had and this one hasn't is withdrawn."""
    before = Outgoing.objects.filter(
        revision__examination=one.revision.examination_id, revision__revision__lt=one.revision.revision
    )
    found = before.order_by("-revision__revision").select_related("revision").first()
    return None if found is None else reviewed(found)
