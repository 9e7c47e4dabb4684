"""What is kept: tables through SQLAlchemy, traces in Parquet, in one folder that a shop chooses."""

from trials.store._alarm_rows import StoredAlarm
from trials.store._answer_rows import StoredProposal, StoredRemark
from trials.store._backup import BackedUp, back_up_shop, restore_shop
from trials.store._edit_rows import StoredEdit
from trials.store._errors import disk_error
from trials.store._file_rows import named_photo
from trials.store._folder import ShopFolder, shop_folder
from trials.store._forward import Forwarder, ForwardRound
from trials.store._forward_memory import Told
from trials.store._forward_status import (
    ForwardStatus,
    Waiting,
    forward_lock,
    forward_seen,
    forward_status,
)
from trials.store._history_rows import JobCount, JobRow
from trials.store._lock import FileLock, Holder, holder_of
from trials.store._merge_rows import Merge
from trials.store._moving import Moved, use_file, use_server
from trials.store._objects import NamedFile, Objects
from trials.store._operation_rows import Clock, Station
from trials.store._packing import (
    PACKED_TABLES,
    CellKind,
    PackedColumn,
    PackedRow,
    PackedTable,
    PackedTrace,
    PackedTrial,
    TableName,
)
from trials.store._people import (
    SHORTEST_PASSWORD,
    People,
    Person,
    Role,
    is_password,
)
from trials.store._photo_files import (
    PlainPhoto,
    photo_file,
    plain_photo,
    read_photo,
    smaller_photo,
    write_photo,
)
from trials.store._private import secret_key, write_whole
from trials.store._recorded_rows import FoundAnew, RecordedRun
from trials.store._recording_rows import HOLE_COLUMNS, FinishedRecording, Recording
from trials.store._run_rows import StoredRun
from trials.store._schema import HEAD, UPGRADE_COMMAND, Upgrade
from trials.store._shop_files import (
    KEEP_GIB,
    FilesPlace,
    FilesSent,
    file_address,
    files_place,
    files_waiting,
    local_file,
    read_trace_at,
    send_files,
    use_no_objects,
    use_objects,
)
from trials.store._store import Store, back_up_store, open_store, upgrade_store
from trials.store._taken_rows import RowsToPut, TakenIn
from trials.store._trace_windows import TraceExtent, read_window, trace_extent
from trials.store._traces import TraceFile, TraceWriter, read_trace
from trials.store._trial_rows import StoredTrial
from trials.store._types import now_utc
from trials.store._wear_rows import StoredWear
from trials.store._whole_shop import TrialWithRuns

__all__ = [
    "HEAD",
    "HOLE_COLUMNS",
    "KEEP_GIB",
    "PACKED_TABLES",
    "SHORTEST_PASSWORD",
    "UPGRADE_COMMAND",
    "BackedUp",
    "CellKind",
    "Clock",
    "FileLock",
    "FilesPlace",
    "FilesSent",
    "FinishedRecording",
    "ForwardRound",
    "ForwardStatus",
    "Forwarder",
    "FoundAnew",
    "Holder",
    "JobCount",
    "JobRow",
    "Merge",
    "Moved",
    "NamedFile",
    "Objects",
    "PackedColumn",
    "PackedRow",
    "PackedTable",
    "PackedTrace",
    "PackedTrial",
    "People",
    "Person",
    "PlainPhoto",
    "RecordedRun",
    "Recording",
    "Role",
    "RowsToPut",
    "ShopFolder",
    "Station",
    "Store",
    "StoredAlarm",
    "StoredEdit",
    "StoredProposal",
    "StoredRemark",
    "StoredRun",
    "StoredTrial",
    "StoredWear",
    "TableName",
    "TakenIn",
    "Told",
    "TraceExtent",
    "TraceFile",
    "TraceWriter",
    "TrialWithRuns",
    "Upgrade",
    "Waiting",
    "back_up_shop",
    "back_up_store",
    "disk_error",
    "file_address",
    "files_place",
    "files_waiting",
    "forward_lock",
    "forward_seen",
    "forward_status",
    "holder_of",
    "is_password",
    "local_file",
    "named_photo",
    "now_utc",
    "open_store",
    "photo_file",
    "plain_photo",
    "read_photo",
    "read_trace",
    "read_trace_at",
    "read_window",
    "restore_shop",
    "secret_key",
    "send_files",
    "shop_folder",
    "smaller_photo",
    "trace_extent",
    "upgrade_store",
    "use_file",
    "use_no_objects",
    "use_objects",
    "use_server",
    "write_photo",
    "write_whole",
]
