"""Derived facts on numbers beside the systems of the host's settings; without these nothing is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dermreport.examination.people import Identifier
    from dermreport.expressions.evaluate import Scope, Truth
    from dermreport.settings import IdentifierSystems


def _systems(scope: Scope) -> IdentifierSystems | None:
    systems: IdentifierSystems | None = scope.context.settings.identifier_systems
    return systems


def _of_another(identifier: Identifier | None, system: str | None) -> bool:
    """Whether a number is of another system; a UUID is nobody's."""
    return system is not None and identifier is not None and identifier.system not in {None, system}


def examination_numbered_elsewhere(scope: Scope, _item: object) -> Truth:
    """The examination has a number of another system than the host's."""
    systems = _systems(scope)
    return systems is not None and _of_another(scope.answers.examination.identifier, systems.examination)


def lesion_numbered_elsewhere(scope: Scope, _item: object) -> Truth:
    """The lesion has a number of another system than the host's."""
    systems, lesion = _systems(scope), scope.answers.examination.lesion
    return systems is not None and lesion is not None and _of_another(lesion.identifier, systems.lesion)


def patient_numbered_elsewhere(scope: Scope, _item: object) -> Truth:
    """The patient has numbers, and none of them is of the host's system."""
    systems, numbers = _systems(scope), scope.answers.examination.patient.identifiers
    return systems is not None and bool(numbers) and all(_of_another(one, systems.patient) for one in numbers)


IDENTITY_FACTS: Mapping[str, Callable[[Scope, Any], Truth]] = {
    "examination-numbered-elsewhere": examination_numbered_elsewhere,
    "lesion-numbered-elsewhere": lesion_numbered_elsewhere,
    "patient-numbered-elsewhere": patient_numbered_elsewhere,
}
