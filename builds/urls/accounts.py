"""Addresses: signing in and out."""

from django.urls import URLPattern, path

from builds.views import accounts

urlpatterns: list[URLPattern] = [
    path("sign-in/", accounts.sign_in, name="sign-in"),
    path("sign-in/<int:person_id>/", accounts.sign_in_pin, name="sign-in-pin"),
    path("first-manager/", accounts.first_manager, name="first-manager"),
    path("sign-out/", accounts.sign_out, name="sign-out"),
    path("ground/", accounts.ground, name="ground"),
]
