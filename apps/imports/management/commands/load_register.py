from apps.imports.management.loading_command import LoadingCommand
from apps.imports.services import load_register


class Command(LoadingCommand):
    help = "Load a folder of register files: all of it or, if anything is wrong, nothing."
    load = load_register
