from django.http import HttpRequest, HttpResponse


def center_list(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def center_new(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def center(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def center_change(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def space_new(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def space_change(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
