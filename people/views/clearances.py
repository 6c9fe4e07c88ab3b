from django.http import HttpRequest, HttpResponse


def clearance_new(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def clearance_change(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
