"""Headers that every page has: nothing is kept by a browser or a gateway, and no script runs."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

CONTENT_SECURITY = "default-src 'none'; style-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"


def headers(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Return the middleware."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response["Cache-Control"] = "no-store"
        response["Content-Security-Policy"] = CONTENT_SECURITY
        return response

    return answer
