from django.http import HttpRequest, HttpResponse


def kit_list(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def kit_move(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
