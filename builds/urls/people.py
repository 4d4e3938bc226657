"""Addresses: people and the workshop's own settings."""

from django.urls import URLPattern, path

from builds.views import people, settings

urlpatterns: list[URLPattern] = [
    path("people/", people.people, name="people"),
    path("people/new/", people.person_new, name="person-new"),
    path("people/<int:person_id>/", people.person, name="person"),
    path("people/<int:person_id>/edit/", people.person_edit, name="person-edit"),
    path("people/<int:person_id>/absences/new/", people.absence_new, name="absence-new"),
    path("absences/<int:absence_id>/delete/", people.absence_delete, name="absence-delete"),
    path("people/<int:person_id>/overtime/new/", people.overtime_new, name="overtime-new"),
    path("overtime/<int:overtime_id>/delete/", people.overtime_delete, name="overtime-delete"),
    path("settings/", settings.workshop_settings, name="workshop-settings"),
    path("settings/closures/new/", settings.closure_new, name="closure-new"),
    path("settings/closures/<int:closure_id>/delete/", settings.closure_delete, name="closure-delete"),
    path("settings/areas/new/", settings.area_new, name="area-new"),
    path("settings/areas/<int:area_id>/edit/", settings.area_edit, name="area-edit"),
    path("settings/areas/<int:area_id>/move/", settings.area_move, name="area-move"),
    path("settings/areas/<int:area_id>/delete/", settings.area_delete, name="area-delete"),
    path("settings/skills/new/", settings.skill_new, name="skill-new"),
    path("settings/skills/<int:skill_id>/edit/", settings.skill_edit, name="skill-edit"),
    path("settings/skills/<int:skill_id>/delete/", settings.skill_delete, name="skill-delete"),
    path("settings/bays/new/", settings.bay_new, name="bay-new"),
    path("settings/bays/<int:bay_id>/edit/", settings.bay_edit, name="bay-edit"),
    path("settings/bays/<int:bay_id>/delete/", settings.bay_delete, name="bay-delete"),
    path("more/", settings.more, name="more"),
]
