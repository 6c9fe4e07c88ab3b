"""Every note and its fate."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from core import clock
from core.access import may
from core.theme import render_at
from outbox.hooks import page_of_subject
from outbox.letters import kinds, label_of
from outbox.models import Note, NoteState
from outbox.queries.outbox import counts_by_state, notes
from outbox.services.sending import try_again as make_due
from outbox.services.writing import enqueue_sender

PER_PAGE = 50


@require_safe
@may("see_outbox")
def outbox(request: HttpRequest) -> HttpResponse:
    state = request.GET.get("state", "")
    kind = request.GET.get("kind", "")
    words = request.GET.get("q", "").replace("\x00", "").strip()[:100]
    every = [(one.code, one.label) for one in kinds()]
    rows = notes(
        state=state if state in NoteState.values else "", kind=kind if kind in dict(every) else "", words=words
    )
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    return render_at(
        clock.home_zone(),
        request,
        "outbox/outbox.html",
        {
            "here": "outbox",
            "today": clock.today(),
            "page": page,
            "lines": [_line(request, note) for note in page.object_list],
            "counts": counts_by_state(),
            "states": NoteState.choices,
            "kinds": every,
            "state": state,
            "kind": kind,
            "words": words,
            "narrowed": bool(state or kind or words),
            "may_keep": request.user.has_perm("people.keep_outbox"),
        },
    )


def _line(request: HttpRequest, note: Note) -> dict[str, object]:
    pages = page_of_subject.ask(note, request.user.has_perm)
    return {"note": note, "label": label_of(note.kind), "href": next((page for page in pages if page), "")}


@require_POST
@may("keep_outbox")
def try_again(request: HttpRequest, pk: int) -> HttpResponse:
    note = get_object_or_404(Note, pk=pk)
    if make_due(note=note, now=clock.now()):
        enqueue_sender()
        messages.success(request, gettext("Sending “%(message)s” now.") % {"message": note.summary})
    else:
        said = gettext("“%(message)s” was already sent or is out of date. Nothing changed.")
        messages.info(request, said % {"message": note.summary})
    return redirect("outbox")
