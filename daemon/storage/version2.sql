-- Version 2 of the tables: what version 1 had (version1.sql), and the memory of the core and of the sensors.

-- What the core remembers of one vessel as of the last commit; see state_document.hpp. vessel is empty for the watch itself.
CREATE TABLE vessel_state (
    vessel   TEXT PRIMARY KEY,
    version  INTEGER NOT NULL,                  -- of the document
    at_ms    INTEGER NOT NULL,
    batch    TEXT REFERENCES batch (id),        -- the running one
    document TEXT NOT NULL
) WITHOUT ROWID;

-- What the intake remembers of one sensor: a text whose meaning is the intake's.
CREATE TABLE sensor_state (
    sensor   TEXT PRIMARY KEY,
    document TEXT NOT NULL
) WITHOUT ROWID;

-- Pages of alarms are cut at (changed_ms, id).
DROP INDEX alarm_changed;
CREATE INDEX alarm_changed ON alarm (changed_ms DESC, id);
