from django.http import HttpRequest, HttpResponse


def volunteer_list(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def volunteer_new(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def volunteer(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def volunteer_change(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
