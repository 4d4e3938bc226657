from django.apps import AppConfig


class EngineeringConfig(AppConfig):
    name = "engineering"
