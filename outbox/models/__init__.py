from outbox.models.notes import Note, NoteQuerySet, NoteState, new_message_id

__all__ = [
    "Note",
    "NoteQuerySet",
    "NoteState",
    "new_message_id",
]
