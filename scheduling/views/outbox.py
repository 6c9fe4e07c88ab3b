from django.http import HttpRequest, HttpResponse


def outbox(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def try_again(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
