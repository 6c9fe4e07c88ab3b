from outbox.models.notes import Note, NoteQuerySet, NoteState, new_message_id
from outbox.models.references import reference, references

__all__ = ["Note", "NoteQuerySet", "NoteState", "new_message_id", "reference", "references"]
