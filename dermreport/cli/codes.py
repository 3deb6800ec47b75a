"""Exit codes of every command."""

from __future__ import annotations

from typing import Final

#: Done.
DONE: Final = 0
#: Done, and an error stands in some record or series, not all of a record could be held, or a plugin that was asked for
#: isn't used or failed.
ERROR_STANDS: Final = 1
#: The call is wrong.
WRONG_CALL: Final = 2
#: Nothing is held of an entry or a lesion, or something can't be read, made or written (the others are done all the
#: same), or the entries are no series.
NOT_DONE: Final = 3
