-- A logbook of version 1, as that version wrote it.
PRAGMA application_id = 1280922440;
PRAGMA user_version = 1;
BEGIN TRANSACTION;
CREATE TABLE day (
      id INTEGER PRIMARY KEY,
      date TEXT NOT NULL UNIQUE,
      track_id INTEGER REFERENCES track,
      air_temperature REAL,
      track_temperature REAL,
      air_pressure REAL,
      relative_humidity REAL CHECK (relative_humidity BETWEEN 0 AND 1),
      note TEXT NOT NULL
    ) STRICT;
INSERT INTO "day" VALUES(1,'2026-05-02',1,297.15,304.15,98500.0,0.55,'it''s dry');
CREATE TABLE drive (
      id INTEGER PRIMARY KEY,
      options TEXT NOT NULL UNIQUE
    ) STRICT;
INSERT INTO "drive" VALUES(1,'{"distance": 60.0, "longest_time": 20.0, "start_speed": 0.0, "grade": 0.0, "sample_interval": 0.002, "distances": [5.0, 10.0, 20.0, 30.0, 60.0], "speeds": [], "pedals": [], "tolerance": 1e-06, "most_steps": 200000}');
INSERT INTO "drive" VALUES(2,'{"track": {"name": "ring", "pieces": [[51.2, [0.125, 0, 0, 0], 1.0, 0.0]], "sectors": []}, "standing": false, "settled": true, "sample_spacing": 0.25, "corner_share": 0.98, "brake_share": 0.88, "release_time": 0.2, "correction_time": 0.08, "before_corner": 2.0, "least_power": 0.5, "longest_time": 120.0, "most_laps": 40, "tolerance": 1e-05, "most_steps": 200000}');
CREATE TABLE run (
      id INTEGER PRIMARY KEY AUTOINCREMENT,
      day_id INTEGER NOT NULL REFERENCES day,
      setup_id INTEGER NOT NULL REFERENCES setup,
      note TEXT NOT NULL
    ) STRICT;
INSERT INTO "run" VALUES(1,1,1,'new clutch');
INSERT INTO "run" VALUES(2,1,1,'');
CREATE TABLE seen (
      id INTEGER PRIMARY KEY,
      run_id INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,
      drive_id INTEGER NOT NULL REFERENCES drive,
      measure TEXT NOT NULL,
      value REAL NOT NULL,
      error REAL NOT NULL CHECK (error > 0),
      changes TEXT NOT NULL
    ) STRICT;
INSERT INTO "seen" VALUES(1,1,1,'shift_speed',1.80555555555555571345e+01,5.55555555555555580227e-01,'[["two_speed.gap", 0.0044]]');
INSERT INTO "seen" VALUES(2,1,1,'time',3.2,0.02,'[]');
INSERT INTO "seen" VALUES(3,2,2,'lap_time',16.2,0.05,'[]');
CREATE TABLE setup (
      id INTEGER PRIMARY KEY,
      name TEXT NOT NULL UNIQUE CHECK (name <> ''),
      saved TEXT NOT NULL,
      content TEXT NOT NULL
    ) STRICT;
INSERT INTO "setup" VALUES(1,'dry','2026-05-01T18:00:00+00:00','[two_speed]
gap = "4.5 mm"
');
CREATE TABLE taken_line (digest TEXT PRIMARY KEY) STRICT;
CREATE TABLE track (
      id INTEGER PRIMARY KEY,
      name TEXT NOT NULL UNIQUE CHECK (name <> ''),
      saved TEXT NOT NULL,
      content TEXT NOT NULL
    ) STRICT;
INSERT INTO "track" VALUES(1,'hall','2026-05-01T18:00:00+00:00','{"track": {"name": "ring", "pieces": [[51.2, [0.125, 0, 0, 0], 1.0, 0.0]], "sectors": []}, "standing": false, "settled": true, "sample_spacing": 0.25, "corner_share": 0.98, "brake_share": 0.88, "release_time": 0.2, "correction_time": 0.08, "before_corner": 2.0, "least_power": 0.5, "longest_time": 120.0, "most_laps": 40, "tolerance": 1e-05, "most_steps": 200000}');
CREATE INDEX run_of_day ON run (day_id);
CREATE INDEX seen_of_run ON seen (run_id);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('run',2);
COMMIT;
