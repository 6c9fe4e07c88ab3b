from django.http import HttpRequest, HttpResponse


def mail_list(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError


def mail_one(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
