"""The site with a page of the family's own at an address that tests can look for."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path


def page(request: HttpRequest, token: str) -> HttpResponse:
    return HttpResponse()


urlpatterns = [path("", include("config.urls")), path("family-of/<str:token>/", page, name="family-page")]
