"""Addresses: numbers of examinations, which say nothing of a patient, for addresses end in logs."""

from django.contrib.auth import views as sign_in
from django.urls import path
from examinations import views

urlpatterns = [
    path("", views.listing, name="examinations"),
    path("new/", views.new, name="new"),
    path("<uuid:number>/", views.examination, name="examination"),
    path("<uuid:number>/fhir/", views.fhir, name="fhir"),
    path("<uuid:number>/letter/", views.letter, name="letter"),
    path("style.css", views.style, name="style"),
    path("sign-in/", sign_in.LoginView.as_view(), name="login"),
    path("sign-out/", sign_in.LogoutView.as_view(), name="logout"),
]
