-- Version 1 of the tables. They may change from version to version; what outsiders may rely on are the views (views.sql).
-- Times are UTC milliseconds, values in the canonical units of brewing/quantity.hpp, ids are the person's own texts.

CREATE TABLE vessel (
    id             INTEGER PRIMARY KEY,
    key            TEXT NOT NULL UNIQUE,
    name           TEXT NOT NULL,
    total_volume_l REAL,
    configured     INTEGER NOT NULL DEFAULT 0   -- 1: in the configuration of the last start
);

-- What the vessel's parts bear, kPa gauge.
CREATE TABLE vessel_limit (
    vessel INTEGER NOT NULL REFERENCES vessel (id),
    kind   TEXT NOT NULL,                       -- working_pressure relief_pressure weakest_fitting lowest vacuum
    kpa    REAL NOT NULL,
    PRIMARY KEY (vessel, kind)
) WITHOUT ROWID;

-- The person's display unit: with d = canonical - about, what is shown is c0 + c1 d + c2 d^2 + c3 d^3 in `unit`.
-- A straight line for every unit but degrees Plato, which are a cubic in specific gravity.
CREATE TABLE quantity (
    id    INTEGER PRIMARY KEY,                  -- brewing::Quantity
    name  TEXT NOT NULL UNIQUE,
    unit  TEXT NOT NULL,
    about REAL NOT NULL DEFAULT 0,
    c0    REAL NOT NULL DEFAULT 0,
    c1    REAL NOT NULL DEFAULT 1,
    c2    REAL NOT NULL DEFAULT 0,
    c3    REAL NOT NULL DEFAULT 0
);

CREATE TABLE series (
    id       INTEGER PRIMARY KEY,
    sensor   TEXT NOT NULL,
    vessel   INTEGER NOT NULL REFERENCES vessel (id),
    quantity INTEGER NOT NULL REFERENCES quantity (id),
    newest_quarter INTEGER,                     -- of the newest accepted reading; as in rollup
    UNIQUE (sensor, vessel, quantity)
);

-- Accepted readings. The key is time first: a commit at home cadence then touches one page instead of one for each
-- sensor, which writes a sixth of the bytes to the SD card; a day of one of fifteen sensors still reads in 4 ms, and long
-- ranges come from the roll-ups. `value` is an INTEGER of hundred-thousandths when that is exact (most sensors
-- speak in few decimals), else the REAL itself; what comes back is what went in, to the last bit.
CREATE TABLE reading (
    at_ms  INTEGER NOT NULL,
    series INTEGER NOT NULL,
    value  NOT NULL,
    PRIMARY KEY (at_ms, series)
) WITHOUT ROWID;

-- Readings that were judged out, and why; for looking into a sensor's trouble, never for estimates.
CREATE TABLE doubted_reading (
    at_ms   INTEGER NOT NULL,
    series  INTEGER NOT NULL,
    value   REAL NOT NULL,
    verdict TEXT NOT NULL,
    PRIMARY KEY (at_ms, series)
) WITHOUT ROWID;

-- Accepted readings by the quarter of an hour, kept for ever. quarter = at_ms / 900000.
CREATE TABLE rollup (
    quarter INTEGER NOT NULL,
    series  INTEGER NOT NULL,
    n       INTEGER NOT NULL,
    mean    REAL NOT NULL,
    low     REAL NOT NULL,
    high    REAL NOT NULL,
    PRIMARY KEY (quarter, series)
) WITHOUT ROWID;

-- 90 % intervals; high may be infinite.
CREATE TABLE estimate (
    at_ms    INTEGER NOT NULL,
    vessel   INTEGER NOT NULL,
    quantity INTEGER NOT NULL,
    value    REAL NOT NULL,
    low      REAL NOT NULL,
    high     REAL NOT NULL,
    PRIMARY KEY (at_ms, vessel, quantity)
) WITHOUT ROWID;

-- A batch is remembered whole, as one JSON document (batch_document.hpp); the columns are for finding it.
CREATE TABLE batch (
    id         TEXT PRIMARY KEY,
    vessel     INTEGER NOT NULL REFERENCES vessel (id),
    started_ms INTEGER NOT NULL,
    ended_ms   INTEGER,
    document   TEXT NOT NULL
) WITHOUT ROWID;

CREATE TABLE fact (
    vessel          INTEGER NOT NULL REFERENCES vessel (id),
    batch           TEXT NOT NULL,
    kind            TEXT NOT NULL,
    at_ms           INTEGER NOT NULL,
    evidence        TEXT NOT NULL,
    revoked_ms      INTEGER,
    revoked_because TEXT NOT NULL,
    PRIMARY KEY (vessel, batch, kind, at_ms)
) WITHOUT ROWID;

-- One row for each occurrence of an alarm: where it stands.
CREATE TABLE alarm (
    id          TEXT PRIMARY KEY,
    vessel      TEXT NOT NULL,                  -- empty: the watch itself
    rule        TEXT NOT NULL,
    subject     TEXT NOT NULL,
    raised_ms   INTEGER NOT NULL,
    state       TEXT NOT NULL,
    priority    TEXT NOT NULL,
    changed_ms  INTEGER NOT NULL,
    ended_ms    INTEGER,                        -- NULL: stands
    summary     TEXT NOT NULL,                  -- what was said when it was raised
    text        TEXT NOT NULL,                  -- what was said last
    value       REAL,
    limit_value REAL,
    title       TEXT NOT NULL,
    rings       INTEGER NOT NULL
);
CREATE INDEX alarm_standing ON alarm (raised_ms) WHERE ended_ms IS NULL;
CREATE INDEX alarm_changed ON alarm (changed_ms);

-- Every step of its life.
CREATE TABLE alarm_step (
    step        INTEGER PRIMARY KEY,
    alarm       TEXT NOT NULL REFERENCES alarm (id),
    at_ms       INTEGER NOT NULL,
    state       TEXT NOT NULL,
    priority    TEXT NOT NULL,
    text        TEXT NOT NULL,
    value       REAL,
    limit_value REAL,
    title       TEXT NOT NULL,
    rings       INTEGER NOT NULL,               -- 0: recorded only
    UNIQUE (alarm, at_ms, state, priority)
);

-- Notices on their way, one row for each messenger.
CREATE TABLE outbox (
    id          INTEGER PRIMARY KEY,
    notice      TEXT NOT NULL,
    messenger   TEXT NOT NULL,
    thread      TEXT NOT NULL,
    kind        TEXT NOT NULL,
    vessel      TEXT NOT NULL,
    rule        TEXT NOT NULL,
    priority    TEXT NOT NULL,
    title       TEXT NOT NULL,
    text        TEXT NOT NULL,
    at_ms       INTEGER NOT NULL,
    state       TEXT NOT NULL DEFAULT 'pending',  -- pending delivered given_up
    attempts    INTEGER NOT NULL DEFAULT 0,
    next_try_ms INTEGER NOT NULL DEFAULT 0,       -- 0: at once
    done_ms     INTEGER,
    problem     TEXT NOT NULL DEFAULT '',
    UNIQUE (notice, messenger)
);
CREATE INDEX outbox_due ON outbox (next_try_ms) WHERE state = 'pending';

CREATE TABLE learned (
    culture  TEXT PRIMARY KEY,
    document TEXT NOT NULL
) WITHOUT ROWID;

CREATE TABLE memory (
    key   TEXT PRIMARY KEY,
    value TEXT NOT NULL
) WITHOUT ROWID;
