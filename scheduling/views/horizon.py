from django.http import HttpRequest, HttpResponse


def horizon(request: HttpRequest, **kwargs: object) -> HttpResponse:
    raise NotImplementedError
