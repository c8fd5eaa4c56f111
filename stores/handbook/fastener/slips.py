"""A slip of the pen in the noun: "waser M6" is asked about, never guessed."""

from functools import cache

from stores.handbook.fastener.draft import Draft
from stores.handbook.fastener.words import fold, vocabulary

__all__ = ["read_slips"]

_SHORTEST = 4  # letters: below it half the language is one slip from a noun


def read_slips(draft: Draft) -> None:
    """Move a name that is one letter from a noun to the unread, with a question."""
    kept = []
    for at, text in draft.notes:
        meant = {word: noun for word in text.split() if (noun := _meant(fold(word)))}
        if not meant:
            kept.append((at, text))
            continue
        draft.unread.append(text)
        for word, noun in meant.items():
            draft.ask(f"{word}: is it {noun}")
    draft.notes = kept


def _meant(word: str) -> str | None:
    """Give the noun that a word nobody knows is one letter away from."""
    phrases, longest = vocabulary()
    if len(word) < _SHORTEST or not word.isalpha() or word in phrases or word in longest:
        return None
    near = _near()
    return next((near[part] for part in (word, *_shorter(word)) if part in near), None)


@cache
def _near() -> dict[str, str]:
    """Give every noun, and every noun short of one letter, to the noun."""
    near: dict[str, str] = {}
    for word, phrase in vocabulary()[0].items():
        if word.isalpha() and len(word) >= _SHORTEST and (phrase.get("noun") or phrase.get("weak")):
            for part in (word, *_shorter(word)):
                near.setdefault(part, word)
    return near


def _shorter(word: str) -> list[str]:
    return [word[:at] + word[at + 1 :] for at in range(len(word))]
