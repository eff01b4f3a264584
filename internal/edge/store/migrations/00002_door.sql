-- +goose Up
-- Who may come in stands beside the log: it changes, and holds what no log
-- should. Secrets are kept as hashes only.
CREATE TABLE door_person (
  person   TEXT    PRIMARY KEY,
  owner    INTEGER NOT NULL CHECK (owner IN (0, 1)),
  password TEXT    NOT NULL,
  pin      TEXT    NOT NULL,
  disabled INTEGER NOT NULL CHECK (disabled IN (0, 1))
) STRICT;

CREATE TABLE door_device (
  device   TEXT    PRIMARY KEY,
  name     TEXT    NOT NULL,
  token    BLOB    NOT NULL UNIQUE CHECK (length(token) = 32),
  enrolled INTEGER NOT NULL,
  seen     INTEGER NOT NULL,
  revoked  INTEGER NOT NULL
) STRICT;

CREATE TABLE door_session (
  ref    BLOB    PRIMARY KEY CHECK (length(ref) = 32),
  person TEXT    NOT NULL REFERENCES door_person (person),
  device TEXT    NOT NULL,
  strong INTEGER NOT NULL CHECK (strong IN (0, 1)),
  locked INTEGER NOT NULL CHECK (locked IN (0, 1)),
  begun  INTEGER NOT NULL,
  used   INTEGER NOT NULL
) STRICT;
CREATE INDEX door_session_person ON door_session (person);
CREATE INDEX door_session_device ON door_session (device);

CREATE TABLE door_limit (
  one     INTEGER PRIMARY KEY CHECK (one = 1),
  idle    INTEGER NOT NULL,
  longest INTEGER NOT NULL
) STRICT;
