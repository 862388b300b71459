-- Version 3 of the tables: a place for what could not be understood, so that one broken row does not stop the house.

-- Rows that made no sense when the store was opened, as they were. `origin` is the table they stood in.
CREATE TABLE set_aside (
    id       INTEGER PRIMARY KEY,
    at_ms    INTEGER NOT NULL,                  -- when it was set aside
    origin   TEXT NOT NULL,
    key      TEXT NOT NULL,
    document,
    problem  TEXT NOT NULL
);
