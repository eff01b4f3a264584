package store

import (
	"context"
	"database/sql"
	"embed"
	"io/fs"
	"path/filepath"

	"github.com/pressly/goose/v3"

	"fettle/internal/base/fault"
)

//go:embed migrations/*.sql
var migrations embed.FS

// mark is the application id of our files, "FTL1".
const mark = 0x46544c31

// migrate brings the file to the form this release knows. A file of another
// program or of a later release is left as it is.
func migrate(ctx context.Context, db *sql.DB, file string) error {
	var id, tables int64
	if err := db.QueryRowContext(ctx, "SELECT (SELECT application_id FROM pragma_application_id), (SELECT count(*) FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version')").Scan(&id, &tables); err != nil {
		return broken("store.open", err, "dir", filepath.Dir(file))
	}
	if id != mark && (id != 0 || tables > 0) {
		return fault.New(fault.Refused, "store.not-ours", "file", file)
	}
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		panic("store: the embedded migrations have moved: " + err.Error())
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, sub)
	if err != nil {
		return broken("store.migrate", err, "file", file)
	}
	found, err := p.GetDBVersion(ctx)
	if err != nil {
		return broken("store.migrate", err, "file", file)
	}
	list := p.ListSources()
	if known := list[len(list)-1].Version; found > known {
		return fault.New(fault.Refused, "store.newer", "file", file, "found", whole(found), "known", whole(known))
	}
	if _, err := p.Up(ctx); err != nil {
		return broken("store.migrate", err, "file", file)
	}
	return nil
}
