"""The site's addresses and an empty view beside them: the baseline of every page."""

from django.http import HttpRequest, HttpResponse
from django.urls import path

from config import urls


def empty(request: HttpRequest) -> HttpResponse:
    return HttpResponse("")


urlpatterns = [*urls.urlpatterns, path("empty/", empty)]
