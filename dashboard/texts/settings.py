"""Words of the page of settings and shop data."""

from __future__ import annotations

TITLE = "Settings and shop data"
FORM = "For all screens of this shop"
FORM_NOTE = "Who has chosen other units in the head of a page keeps them in that browser."
NAME = "Name of the shop"
NAME_NONE = "no name set"
UNITS = "Units"
UNITS_CHOICES = {"metric": "metric (mm)", "inch": "inch"}
DECIMAL = "Decimal mark"
DECIMAL_CHOICES = {".": "point: 1.5", ",": "comma: 1,5"}
CURRENCY = "Currency of a new trial (ISO 4217)"
SAVE = "Save"
SAVED = "Saved. Pages opened from now on show it."
DATA = "Where the data lie"
DATA_SENTENCE = (
    "Everything is in the data folder {folder} (trials: {trials}, runs: {runs}). The database "
    "takes {database}, and {free} are free on its disk."
)
TILE_VERSION = "Version"
TILE_SCHEMA = "Tables, revision"
TILE_DATABASE = "Database"
TILE_FREE = "Free on the disk"
TILE_FREE_NOTE = "a day of recording takes up to 1 GB"
BACKUPS = "Copies of the database"
BACKUPS_NOTE = (
    "A copy is checked when it is made and lies in the folder backups inside the data folder. It "
    "holds trials, runs, wear and holes. Traces and journals are files: for a copy of all, copy "
    "the whole data folder to another disk while nothing is recorded."
)
BACKUPS_NONE = "No copy has been made yet."
BACKUPS_MAKE = "Make a copy now"
BACKUPS_MADE = "Made and checked: {file}"
BACKUPS_NEWEST = "The newest was made {age} ago."
BACKUPS_COLUMNS = {"file": "File", "made": "Made (UTC)", "size": "Size"}
MACHINES = "Machines"
MACHINES_NONE = "No trial names a machine yet. A machine is described when a trial is begun."
MACHINES_SENTENCE = "{machines} machines are named by the trials of this shop."
MACHINES_ONE = "One machine is named by the trials of this shop."
MACHINES_NAMELESS = "without a name"
MACHINES_COLUMNS = {
    "name": "Machine",
    "power": "Rated power",
    "base": "Rated from",
    "most": "Highest speed",
    "trials": "Trials",
}
RPM = "{value}\u00a0/min"
CATALOGUE = "Catalogue"
CATALOGUE_SHIPPED = (
    "The catalogue knows {materials} work materials. For values of your own, put a file "
    "catalogue.toml into the data folder; it goes over the catalogue that ships."
)
CATALOGUE_OWN = (
    "The catalogue knows {materials} work materials, with this shop's own values from "
    "catalogue.toml in the data folder over those that ship."
)
PROFILES = "Kept profiles of how machines talk: {names}."
PROFILES_NONE = "No profile of how a machine talks is kept yet; holewise log --setup makes one."
PEOPLE = "Who may sign in"
PEOPLE_NONE = (
    "Nobody was added: the dashboard is open to whoever sits at this computer, and closed to other "
    "computers. To open it to a tablet or to a representative, add people:"
)
PEOPLE_SENTENCE = "{people} people may sign in. People are added and removed on the command line:"
PEOPLE_ONE = "One person may sign in. People are added and removed on the command line:"
PEOPLE_COLUMNS = {"name": "Name", "role": "Role", "prices": "Prices", "added": "Added (UTC)"}
PEOPLE_PRICES = {True: "shown", False: "hidden"}
PEOPLE_COMMANDS = (
    "holewise people add NAME --role editor",
    "holewise people add NAME --role reader --no-prices",
)
