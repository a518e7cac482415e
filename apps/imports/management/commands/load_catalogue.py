from apps.imports.management.loading_command import LoadingCommand
from apps.imports.services import load_catalogue


class Command(LoadingCommand):
    help = "Load a folder of catalogue files: all of it or, if anything is wrong, nothing."
    load = load_catalogue
