"""The base of every part of an examination, lists, and a code of somebody else's.

The files of the model don't postpone their annotations: pydantic would evaluate each text again when it makes a class.
"""

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Self, TypeVar, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, GetCoreSchemaHandler, ValidationError
from pydantic_core import PydanticCustomError, core_schema

from dermreport.examination.reader import read_json, write_json
from dermreport.examination.types import ShortText, Uri
from dermreport.vocabulary.term import Term, code_system


class Model(BaseModel):
    """A frozen part of an examination; a field that it doesn't know is refused, nothing entered is in an error.

    ``null`` for a field that isn't required means that it was not given. A part is read by ``model_validate`` or
    ``model_validate_json``; its constructor is for code, and raises pydantic's own error.
    """

    model_config: ClassVar[ConfigDict] = ConfigDict(
        frozen=True,
        extra="forbid",
        hide_input_in_errors=True,
        defer_build=True,
        use_attribute_docstrings=False,
    )

    #: Whether a partly filled entry holds this part only as a whole: half of it would mean something else.
    held_whole: ClassVar[bool] = False

    @classmethod
    def model_validate(cls, obj: Any, **options: Any) -> Self:  # noqa: ANN401 - pydantic's own signature
        """Take a dict as ``json.loads`` gives it, or an instance.

        A float is taken by its shortest text: digits that ``json.loads`` dropped can't come back.

        Raises:
            EntryError: With every issue, gathered; codes, positions and field names only.
        """
        try:
            return super().model_validate(obj, **options)
        except ValidationError as error:
            from dermreport.examination.entry import entry_error  # noqa: PLC0415 - needed only when it fails

            refused = entry_error(error, cls)
        # Raised out here, so that pydantic's error with the entered values isn't its context.
        raise refused

    @classmethod
    def model_validate_json(cls, json_data: str | bytes | bytearray, **options: Any) -> Self:  # noqa: ANN401 - pydantic's own signature
        """Read JSON by the one exact reader; pydantic's own would change digits and offsets.

        Raises:
            EntryError: With every issue, gathered; codes, positions and field names only.
        """
        text = bytes(json_data) if isinstance(json_data, bytearray) else json_data
        return cls.model_validate(read_json(text), **options)

    if TYPE_CHECKING:
        # pydantic gives each frozen class a hash; type checkers that don't know it need the promise.
        def __hash__(self) -> int: ...

    def __repr__(self) -> str:
        """Name the part, never what it holds: a repr ends in logs."""
        return f"<{type(self).__name__}>"

    __str__ = __repr__

    def __setattr__(self, name: str, value: Any) -> None:  # noqa: ANN401 - any attribute
        """Refuse to change a field, without the value in the error.

        Raises:
            TypeError: The part is frozen; ``model_copy(update=…)`` makes a changed one.
        """
        if name in type(self).model_fields:
            raise TypeError(f"{type(self).__name__} is frozen: make a new one")
        super().__setattr__(name, value)

    def model_dump_json(self, **options: Any) -> str:  # noqa: ANN401 - pydantic's own signature
        """Write JSON by the one exact writer, decimals as numbers; options are those of ``model_dump``."""
        return write_json(self.model_dump(**options))


class OtherCode(Model):
    """A code that isn't ours: newer, foreign or a host's own. It is kept and sent, and never interpreted.

    Attributes:
        system: The code system's URI.
        code: The code.
        display: What the host shows for it.
        version: Version of the code system.
    """

    held_whole = True

    system: Uri
    code: ShortText
    display: ShortText | None = None
    version: ShortText | None = None


def entry_dict(model: Model) -> dict[str, Any]:
    """Return a part of an entry as new dicts and lists in the model's order, without what was not given."""
    return model.model_dump(exclude_defaults=True)


def code_mark(code: Term | OtherCode) -> Hashable:
    """Return what makes a code the same one: system and code; neither display nor version decides."""
    return (code.system, code.code) if isinstance(code, OtherCode) else code


#: Marks of the two branches in pydantic's paths.
OURS, OTHER = "ours", "other"


def _whose(value: object) -> str:
    return OURS if isinstance(value, str) else OTHER


def _ours_again(table: type[Term], code: OtherCode) -> Term | OtherCode:
    """Take a code of this table that came with its system for what it is: it must not escape the rules."""
    if code.system != code_system(table):
        return code
    try:
        return table(code.code)
    except ValueError:
        return code


class _OursOrOther:
    """Makes pydantic choose the branch by kind, so that an error speaks of the branch that was meant."""

    def __get_pydantic_core_schema__(
        self,
        source: Any,  # noqa: ANN401 - pydantic's own signature
        handler: GetCoreSchemaHandler,
    ) -> core_schema.CoreSchema:
        table, other = get_args(source)
        branches = {
            OURS: handler.generate_schema(table),
            OTHER: core_schema.no_info_after_validator_function(
                partial(_ours_again, table), handler.generate_schema(other)
            ),
        }
        return core_schema.tagged_union_schema(branches, discriminator=_whose)


T = TypeVar("T")
#: A member of our table, or somebody else's code.
Coded = Annotated[T | OtherCode, _OursOrOther()]


def _empty_if_null(value: object) -> object:
    return () if value is None else value


#: A list that may be left out, empty or null: nothing was given.
Listed = Annotated[tuple[T, ...], BeforeValidator(_empty_if_null)]


def _not_empty(items: tuple[T, ...]) -> tuple[T, ...]:
    if not items:
        raise PydanticCustomError("list_empty", "At least one is needed.")
    return items


class NotEmpty:
    """Refuses an empty list once its items stand; pydantic's own limit counts an item that is wrong as missing."""

    def __get_pydantic_core_schema__(
        self,
        source: Any,  # noqa: ANN401 - pydantic's own signature
        handler: GetCoreSchemaHandler,
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_after_validator_function(_not_empty, handler(source))
