"""Addresses: jobs and the decisions that hold them."""

from django.urls import URLPattern, path

from builds.views import decisions, job_edit, jobs, sheet_facts

urlpatterns: list[URLPattern] = [
    path("cars/<int:car_id>/jobs/new/", job_edit.job_new, name="job-new"),
    path("jobs/<int:job_id>/", jobs.job, name="job"),
    path("jobs/<int:job_id>/edit/", job_edit.job_edit, name="job-edit"),
    path("jobs/<int:job_id>/start/", jobs.job_start, name="job-start"),
    path("jobs/<int:job_id>/done/", jobs.job_done, name="job-done"),
    path("jobs/<int:job_id>/take-back/", jobs.job_take_back, name="job-take-back"),
    path("jobs/<int:job_id>/sign-off/", jobs.job_sign_off, name="job-sign-off"),
    path("jobs/<int:job_id>/clock-stop/", jobs.job_clock_stop, name="job-clock-stop"),
    path("jobs/<int:job_id>/hold/", jobs.job_hold, name="job-hold"),
    path("jobs/<int:job_id>/note/", jobs.job_note, name="job-note"),
    path("jobs/<int:job_id>/photo/", jobs.job_photo, name="job-photo"),
    path("jobs/<int:job_id>/time/", jobs.job_time, name="job-time"),
    path("calc/<int:sheet_id>/take-over/", sheet_facts.sheet_take_over, name="sheet-take-over"),
    path("time/<int:entry_id>/", jobs.time_correct, name="time-correct"),
    path("jobs/<int:job_id>/decisions/new/", decisions.decision_new, name="decision-new"),
    path("decisions/<int:decision_id>/answer/", decisions.decision_answer, name="decision-answer"),
]
