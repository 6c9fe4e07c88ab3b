"""Text that the database keeps encrypted: Fernet (AES-128-CBC with HMAC-SHA256) from the cryptography library.

``CARE_KEYS`` holds one or several keys. The first one writes; all of them read. To replace a key, put a
new one in front, run ``manage.py turn_keys``, then remove the old one.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.db import models

__all__ = ["EncryptedTextField", "LostKey", "opened", "sealed", "turned"]

LOST = "A text was written with a key that CARE_KEYS no longer holds. Put that key back."


class LostKey(RuntimeError):
    """A text was written with a key that is no longer in CARE_KEYS."""


@lru_cache(maxsize=8)
def _box(keys: tuple[str, ...]) -> MultiFernet:
    return MultiFernet([Fernet(key) for key in keys])


def box(keys: Sequence[str] | None = None) -> MultiFernet:
    return _box(tuple(settings.CARE_KEYS if keys is None else keys))


def sealed(text: str) -> str:
    """Encrypt a text for keeping; "" stays empty."""
    return box().encrypt(text.encode()).decode() if text else text


def opened(kept: str) -> str:
    """Decrypt a kept text. Raises LostKey when none of CARE_KEYS opens it."""
    try:
        return box().decrypt(kept.encode()).decode() if kept else kept
    except InvalidToken as problem:
        raise LostKey(LOST) from problem


def turned(kept: str) -> str:
    """Encrypt a kept text again under the first key. A text that has that key already only gets a new time."""
    try:
        return box().rotate(kept.encode()).decode()
    except InvalidToken as problem:
        raise LostKey(LOST) from problem


class EncryptedTextField(models.TextField):
    """A text that only the running program reads. It can't be searched or sorted by, and "" stays "".

    Raises LostKey when none of CARE_KEYS opens it, rather than hide an allergy.
    """

    def get_prep_value(self, value: Any) -> Any:
        text = super().get_prep_value(value)
        return sealed(text) if text else text

    def from_db_value(self, value: str | None, _expression: object, _connection: object) -> str | None:
        return opened(value) if value else value
