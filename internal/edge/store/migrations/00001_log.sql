-- +goose Up
-- "FTL1": a file with another mark is not ours and is left alone.
PRAGMA application_id = 1179929649;

-- id is the order in which the store took the entries, over all streams.
CREATE TABLE entry (
  id       INTEGER PRIMARY KEY,
  stream   TEXT    NOT NULL,
  seq      INTEGER NOT NULL CHECK (seq >= 1),
  key      BLOB    NOT NULL UNIQUE CHECK (length(key) = 16),
  kind     TEXT    NOT NULL,
  version  INTEGER NOT NULL CHECK (version >= 1),
  person   TEXT    NOT NULL,
  device   TEXT    NOT NULL,
  time     INTEGER NOT NULL,
  received INTEGER NOT NULL,
  payload  BLOB    NOT NULL,
  prev     BLOB    NOT NULL CHECK (length(prev) = 32),
  hash     BLOB    NOT NULL CHECK (length(hash) = 32),
  UNIQUE (stream, seq)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry
BEGIN
  SELECT RAISE(ABORT, 'an entry is never changed');
END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry
BEGIN
  SELECT RAISE(ABORT, 'an entry is never removed');
END;
-- +goose StatementEnd

-- INSERT OR REPLACE removes the row in its way without asking the trigger above,
-- so a row is looked for first. The rest keeps sequences without gaps and the
-- chain whole, whoever writes.
-- +goose StatementBegin
CREATE TRIGGER entry_append BEFORE INSERT ON entry
BEGIN
  SELECT RAISE(ABORT, 'the entry is already there')
    WHERE EXISTS (SELECT 1 FROM entry WHERE key = NEW.key)
       OR EXISTS (SELECT 1 FROM entry WHERE id = NEW.id);
  SELECT RAISE(ABORT, 'the sequence has a gap')
    WHERE NEW.seq <> 1 + coalesce((SELECT max(seq) FROM entry WHERE stream = NEW.stream), 0);
  SELECT RAISE(ABORT, 'the entry does not follow the head')
    WHERE NEW.prev <> coalesce((SELECT hash FROM entry WHERE stream = NEW.stream ORDER BY seq DESC LIMIT 1), zeroblob(32));
END;
-- +goose StatementEnd
