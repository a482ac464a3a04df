-- What version 2 wrote beside the entries of version 1.
PRAGMA user_version = 2;
BEGIN TRANSACTION;
CREATE TABLE advice (
      id INTEGER PRIMARY KEY AUTOINCREMENT,
      day_id INTEGER NOT NULL REFERENCES day,
      setup_id INTEGER NOT NULL REFERENCES setup,
      said TEXT NOT NULL,
      settings TEXT NOT NULL,
      helped INTEGER CHECK (helped IN (0, 1)),
      note TEXT NOT NULL
    ) STRICT;
INSERT INTO "advice" VALUES(1,1,1,'Turn both screws 0.25 in.','{"two_speed.gap": 0.0043}',1,'');
COMMIT;
