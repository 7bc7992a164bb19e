BEGIN TRANSACTION;
CREATE TABLE about (
    name VARCHAR(40) NOT NULL, value TEXT NOT NULL, PRIMARY KEY (name)
);
INSERT INTO "about" VALUES('kind','real');
CREATE TABLE callout (
    "row" INTEGER NOT NULL, "key" VARCHAR(32) NOT NULL, events INTEGER NOT NULL,
    PRIMARY KEY ("row"), UNIQUE ("key")
);
INSERT INTO "callout" VALUES(1,'47d6dc3bafb11aa0',5);
INSERT INTO "callout" VALUES(2,'a15ebda6e2063718',4);
INSERT INTO "callout" VALUES(3,'754dc21485b556a0',4);
INSERT INTO "callout" VALUES(4,'48c1c46e2d50b306',3);
CREATE TABLE event (
    callout INTEGER NOT NULL, number INTEGER NOT NULL, parent INTEGER NOT NULL,
    body TEXT NOT NULL, person TEXT NOT NULL, caller TEXT NOT NULL,
    PRIMARY KEY (callout, number), FOREIGN KEY (callout) REFERENCES callout ("row")
) WITHOUT ROWID;
INSERT INTO "event" VALUES(1,0,-1,'{"at":"2026-01-31T12:00:00Z","kind":"opened","opening":{"callout":"c1","unit":"V-1","site":"North","facts":{"fails":"closed"},"quantities":{"supply_psi":31.7},"book":"0000000000000000000000000000000000000000000000000000000000000000"}}','Kim','Ann');
INSERT INTO "event" VALUES(1,1,0,'{"at":"2026-01-31T12:00:01Z","kind":"complaint","id":"complaint","answer":"wont_open"}','','');
INSERT INTO "event" VALUES(1,2,1,'{"at":"2026-01-31T12:00:02Z","kind":"check","id":"check_2","answer":"yes"}','Lee','');
INSERT INTO "event" VALUES(1,3,2,'{"at":"2026-01-31T12:00:03Z","kind":"repair","id":"pilot_gummed","answer":"done"}','','');
INSERT INTO "event" VALUES(1,4,3,'{"at":"2026-01-31T12:00:04Z","kind":"prove","id":"pilot_gummed","answer":"cured"}','','');
INSERT INTO "event" VALUES(2,0,-1,'{"at":"2026-01-31T12:00:00Z","kind":"opened","opening":{"callout":"c2","unit":"V-2","site":"South","facts":{"fails":"closed"},"quantities":{"supply_psi":31.7},"book":"0000000000000000000000000000000000000000000000000000000000000000"}}','','');
INSERT INTO "event" VALUES(2,1,0,'{"at":"2026-01-31T12:00:01Z","kind":"complaint","id":"complaint","answer":"wont_shut"}','','');
INSERT INTO "event" VALUES(2,2,1,'{"at":"2026-01-31T12:00:02Z","kind":"check","id":"check_2","answer":"no"}','','');
INSERT INTO "event" VALUES(2,3,1,'{"at":"2026-01-31T12:00:09Z","kind":"check","id":"check_9","answer":"yes"}','','');
INSERT INTO "event" VALUES(3,0,-1,'{"at":"2026-01-31T12:00:00Z","kind":"opened","opening":{"callout":"c3","unit":"V-1","site":"North","facts":{"fails":"closed"},"quantities":{"supply_psi":31.7},"book":"0000000000000000000000000000000000000000000000000000000000000000"}}','','');
INSERT INTO "event" VALUES(3,1,0,'{"at":"2026-01-31T12:00:01Z","kind":"complaint","id":"complaint","answer":"wont_open"}','','');
INSERT INTO "event" VALUES(3,2,1,'{"at":"2026-01-31T12:00:02Z","kind":"help","id":"check_2","answer":"yes"}','','');
INSERT INTO "event" VALUES(3,3,0,'{"at":"2026-01-31T12:00:05Z","kind":"note","id":"check_5","answer":"yes","text":"rang back"}','','');
INSERT INTO "event" VALUES(4,0,-1,'{"at":"2026-01-31T12:00:00Z","kind":"opened","opening":{"callout":"c4","unit":"V-3","site":"North","facts":{"fails":"closed"},"quantities":{"supply_psi":31.7},"book":"0000000000000000000000000000000000000000000000000000000000000000"}}','','');
INSERT INTO "event" VALUES(4,1,0,'{"at":"2026-01-31T12:00:01Z","kind":"check","id":"check_1","answer":"yes"}','','');
INSERT INTO "event" VALUES(4,2,0,'{"at":"2026-01-31T12:00:06Z","kind":"struck","id":"check_6","answer":"struck","text":"made twice"}','','');
CREATE TABLE migration (
    number INTEGER NOT NULL, name TEXT NOT NULL, at VARCHAR(40) NOT NULL, PRIMARY KEY (number)
);
INSERT INTO "migration" VALUES(1,'events and their overview','2026-02-01T00:00:00Z');
CREATE TABLE overview (
    callout INTEGER NOT NULL, "key" VARCHAR(32) NOT NULL, name TEXT NOT NULL, unit TEXT NOT NULL,
    site TEXT NOT NULL, caller TEXT NOT NULL, opened VARCHAR(40) NOT NULL, last VARCHAR(40) NOT NULL,
    complaint TEXT NOT NULL, ended VARCHAR(12) NOT NULL, cause TEXT NOT NULL, answers INTEGER NOT NULL,
    branches INTEGER NOT NULL, struck BOOLEAN NOT NULL,
    PRIMARY KEY (callout), FOREIGN KEY (callout) REFERENCES callout ("row")
);
INSERT INTO "overview" VALUES(1,'47d6dc3bafb11aa0','c1','V-1','North','Ann','2026-01-31T12:00:00Z','2026-01-31T12:00:04Z','wont_open','cured','pilot_gummed',4,0,'0');
INSERT INTO "overview" VALUES(2,'a15ebda6e2063718','c2','V-2','South','','2026-01-31T12:00:00Z','2026-01-31T12:00:09Z','wont_shut','','',2,1,'0');
INSERT INTO "overview" VALUES(3,'754dc21485b556a0','c3','V-1','North','','2026-01-31T12:00:00Z','2026-01-31T12:00:05Z','wont_open','help','',2,0,'0');
INSERT INTO "overview" VALUES(4,'48c1c46e2d50b306','c4','V-3','North','','2026-01-31T12:00:00Z','2026-01-31T12:00:06Z','','','',1,0,'1');
CREATE INDEX overview_ended ON overview (ended, last);
CREATE INDEX overview_unit ON overview (unit, opened);
CREATE INDEX overview_site ON overview (site, opened);
CREATE INDEX overview_opened ON overview (opened);
CREATE INDEX overview_name ON overview (name);
COMMIT;
