"""What a guardian said when asked about allergies. Never answered is no answer, and never looks like none."""

__all__ = ["NEVER_ANSWERED", "NONE_KNOWN", "SOME", "answer_in_file", "answered", "of_both"]

NEVER_ANSWERED = ""
NONE_KNOWN = "none"
SOME = "some"
# How people write into a file's column that there are none.
NONE_WORDS = {"none", "none known", "no", "no allergies", "no known allergies", "nka", "n/a", "ninguna", "no tiene"}


def answered(answer: str, words: str) -> str:
    """What stands: ``words`` always say that there are some, and without words there can't be any."""
    if words.strip():
        return SOME
    return NONE_KNOWN if answer == NONE_KNOWN else NEVER_ANSWERED


def answer_in_file(cell: str) -> tuple[str, str]:
    """The answer and the words of a column ``allergies``: "none" is an answer, an empty cell is not."""
    if cell.strip(" .").casefold() in NONE_WORDS:
        return NONE_KNOWN, ""
    return answered(NEVER_ANSWERED, cell), cell


def of_both(one: str, other: str) -> str:
    """What stands when two records of a child become one: some of either, then none known, then nothing."""
    return next((found for found in (SOME, NONE_KNOWN) if found in (one, other)), NEVER_ANSWERED)
