from django.http import HttpRequest, HttpResponse


def stop_reminders(request: HttpRequest, token: str) -> HttpResponse:
    raise NotImplementedError
