from django.urls import path

from outbox.views import outbox

urlpatterns = [
    path("outbox/", outbox.outbox, name="outbox"),
    path("outbox/<int:pk>/try-again/", outbox.try_again, name="note-try-again"),
]
