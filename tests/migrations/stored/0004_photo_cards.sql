PRAGMA application_id = 1347176782;
PRAGMA user_version = 4;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004_photo_cards');
CREATE TABLE document (
	id VARCHAR(12) NOT NULL, 
	kind VARCHAR(12) NOT NULL, 
	name VARCHAR(120) NOT NULL, 
	name_key VARCHAR(360) NOT NULL, 
	latest INTEGER NOT NULL, 
	created_at DATETIME NOT NULL, 
	hidden_at DATETIME, 
	CONSTRAINT pk_document PRIMARY KEY (id), 
	CONSTRAINT ck_document_kind CHECK (kind IN ('recipe', 'mould', 'bench', 'shelf')), 
	CONSTRAINT uq_document_kind_name_key UNIQUE (kind, name_key)
);
INSERT INTO "document" VALUES('4AGZTJQJ7ZZF','recipe','peat-over-chalk','peat-over-chalk',3,'2026-03-01 18:30:00.000000',NULL);
INSERT INTO "document" VALUES('R4MXKEPA76Y4','mould','fry-75','fry-75',1,'2026-03-01 18:30:00.000000',NULL);
INSERT INTO "document" VALUES('HB3K7SK9EN0N','mould','reed-130','reed-130',1,'2026-03-01 18:30:00.000000',NULL);
INSERT INTO "document" VALUES('ZMMQH5XS3Z07','bench','Vessary Shed','vessary shed',1,'2026-03-01 18:30:00.000000',NULL);
INSERT INTO "document" VALUES('YDDEH2YC7VTX','shelf','Vessary Shed','vessary shed',1,'2026-03-01 18:30:00.000000',NULL);
CREATE TABLE document_version (
	id VARCHAR(12) NOT NULL, 
	document_id VARCHAR(12) NOT NULL, 
	number INTEGER NOT NULL, 
	name VARCHAR(120) NOT NULL, 
	text TEXT NOT NULL, 
	note TEXT NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_document_version PRIMARY KEY (id), 
	CONSTRAINT fk_document_version_document_id FOREIGN KEY(document_id) REFERENCES document (id), 
	CONSTRAINT uq_document_version_document_id_number UNIQUE (document_id, number)
);
INSERT INTO "document_version" VALUES('F0199V30J5S7','4AGZTJQJ7ZZF',1,'peat-over-chalk','# Brown back with copper flake over a pale yellow belly.
name = "peat-over-chalk"
version = 1
note = "First try. The back let the belly through."

[back]                             # cup A
grade = "soft"

[[back.load]]
supply = "Peat"
per_100_g = "3 drops"
[[back.load]]
supply = "Penny"
per_100_g = "0.25 g"

[belly]                            # cup B
grade = "soft"

[[belly.load]]
supply = "Chalk"
per_100_g = "5 drops"
[[belly.load]]
supply = "Rind"
per_100_g = "3 drops"

[wanted]
hiding = 0.90                      # of a black and white card, each half at the widest station

[handling]
start = "163 °C"
push = "6 s"
','peat-over-chalk-1.toml','2026-03-01 18:30:00.000000');
INSERT INTO "document_version" VALUES('6FKYCV45103D','4AGZTJQJ7ZZF',2,'peat-over-chalk','# Brown back with copper flake over a pale yellow belly.
name = "peat-over-chalk"
version = 2
note = "Three times the Peat, but hotter and harder at once: the colours mixed in the shot."

[back]                             # cup A
grade = "soft"

[[back.load]]
supply = "Peat"
per_100_g = "9 drops"
[[back.load]]
supply = "Penny"
per_100_g = "0.25 g"

[belly]                            # cup B
grade = "soft"

[[belly.load]]
supply = "Chalk"
per_100_g = "5 drops"
[[belly.load]]
supply = "Rind"
per_100_g = "3 drops"

[wanted]
hiding = 0.90                      # of a black and white card, each half at the widest station

[handling]
start = "171 °C"                   # above the label band of soft: tried once
push = "2.5 s"
','peat-over-chalk-2.toml','2026-03-01 18:30:00.000000');
INSERT INTO "document_version" VALUES('8J4KSP24KMSM','4AGZTJQJ7ZZF',3,'peat-over-chalk','# Brown back with copper flake over a pale yellow belly.
name = "peat-over-chalk"
version = 3
note = "Version 2 with version 1''s handling. The tail stays thin; accepted."

[back]                             # cup A
grade = "soft"

[[back.load]]
supply = "Peat"
per_100_g = "9 drops"
[[back.load]]
supply = "Penny"
per_100_g = "0.25 g"

[belly]                            # cup B
grade = "soft"

[[belly.load]]
supply = "Chalk"
per_100_g = "5 drops"
[[belly.load]]
supply = "Rind"
per_100_g = "3 drops"

[wanted]
hiding = 0.90                      # of a black and white card, each half at the widest station

[handling]
start = "163 °C"
push = "6 s"
','peat-over-chalk-3.toml','2026-03-01 18:30:00.000000');
INSERT INTO "document_version" VALUES('KVCZAM92EF9J','R4MXKEPA76Y4',1,'fry-75','# A small fish shape: an elliptic body and a flat tail, 75 mm long.
name = "fry-75"
cavities = 6
bait_mass = "4.1 g"
sprue_mass = "7.2 g"
length = "75 mm"
material = "aluminium"
gate = "5 mm"
bottom_mark = "a red dot"

[[stations]]
name = "belly"
position = 0.35
shape = "elliptic"
width = "11 mm"
back_half = "4 mm"
belly_half = "4 mm"

[[stations]]
name = "tail root"
position = 0.85
shape = "elliptic"
width = "5 mm"
back_half = "1.5 mm"
belly_half = "1.5 mm"

[[stations]]
name = "tail"
position = 1.0
shape = "flat-bottomed"
width = "12 mm"
back_half = "1.5 mm"
belly_half = "1.5 mm"
','','2026-03-01 18:30:00.000000');
INSERT INTO "document_version" VALUES('ZGDS175VCHGM','HB3K7SK9EN0N',1,'reed-130','# A slim round body with a tapering tail, 130 mm long.
name = "reed-130"
cavities = 4
bait_mass = "10.2 g"
sprue_mass = "9.0 g"               # sprue and runner of one shot
length = "130 mm"
material = "aluminium"
gate = "7 mm"                      # round, at the nose
bottom_mark = "a filed notch on the lower half"
note = "The line lies at mid-height."

[[stations]]
name = "nose"
position = 0.04                    # share of the length
shape = "round"
width = "8.4 mm"
back_half = "4.2 mm"
belly_half = "4.2 mm"

[[stations]]
name = "belly"
position = 0.40
shape = "round"
width = "12.0 mm"
back_half = "6.0 mm"
belly_half = "6.0 mm"

[[stations]]
name = "waist"
position = 0.62
shape = "round"
width = "10.4 mm"
back_half = "5.2 mm"
belly_half = "5.2 mm"

[[stations]]
name = "neck"
position = 0.80
shape = "round"
width = "7.0 mm"
back_half = "3.5 mm"
belly_half = "3.5 mm"

[[stations]]
name = "tail"
position = 1.0
shape = "round"
width = "3.6 mm"
back_half = "1.8 mm"
belly_half = "1.8 mm"

# Diameters of the round body from nose to tail, for the picture and the volume.
[[outline]]
position = 0.0
diameter = "0 mm"
[[outline]]
position = 0.04
diameter = "8.4 mm"
[[outline]]
position = 0.12
diameter = "11.6 mm"
[[outline]]
position = 0.40
diameter = "12.0 mm"
[[outline]]
position = 0.62
diameter = "10.4 mm"
[[outline]]
position = 0.80
diameter = "7.0 mm"
[[outline]]
position = 0.92
diameter = "4.4 mm"
[[outline]]
position = 1.0
diameter = "3.6 mm"
','','2026-03-01 18:30:00.000000');
INSERT INTO "document_version" VALUES('1Q4REBN1PWWD','ZMMQH5XS3Z07',1,'Vessary Shed','# Vessary Shed: the bench. Invented, like everything in this folder.
name = "Vessary Shed"
room = "22 °C"
reject_share = "7 %"               # of the baits moulded

[vessel]                           # both cups alike
capacity = "500 mL"
fill_limit = "60 %"                # of the capacity, filled with hot plastic
mass = "180 g"
film = "4 g"                       # stays on the wall, a side a melt

[syringes]                         # a coupled pair
capacity = "100 mL"                # each
usable_share = "90 %"
heel = "0.7 g"                     # left in each after a draw
barrel_mass = "300 g"              # aluminium, each
preheat = "130 °C"
shots_per_draw = 1                 # a fresh draw keeps every shot at the cup''s temperature

[block]
loss = "1.5 g"                     # a shot, both sides together

[oven]
power = "900 W"                    # into a water load
share = { value = "40 %", low = "30 %", high = "50 %", origin = "practice" }   # of it, into the melt

[thermometer]                      # infrared
emissivity = 0.95
between_cups = "1 K"
absolute = "5 K"
','','2026-03-01 18:30:00.000000');
INSERT INTO "document_version" VALUES('F1D1SM4QQ7A4','YDDEH2YC7VTX',1,'Vessary Shed','# Vessary Shed: what stands on the shelf. All invented; the spectra are smooth guesses that a
# chip on the printed card would replace.

[[grade]]
name = "soft"
lot = "R0409-B1"
resin_share = "15 %"
density = { value = "1.016 g/mL", low = "1.008 g/mL", high = "1.024 g/mL", origin = "computed", source = "ideal volumes of resin and plasticiser" }
expansion = { value = 7.0e-4, low = 6.5e-4, high = 7.5e-4, origin = "computed", source = "volume-weighted, per kelvin" }
band = ["150 °C", "165 °C"]        # the label''s working band
target = "175 °C"                  # fusion is done
ceiling = "185 °C"                 # the label''s maximum
gel_line = "131 °C"
hazard_sheet = "folder 1, sheet 1"
# Plain fused plastic: coefficients in 1/mm
absorption = [{ shape = "power", height = 0.0025, spread = -1.2 }]
scattering = [{ shape = "power", height = 0.02, spread = -0.5 }]
anisotropy = 0.85

[[grade]]
name = "medium"
lot = "R0409-B2"
resin_share = "18 %"
density = { value = "1.026 g/mL", low = "1.017 g/mL", high = "1.036 g/mL", origin = "computed", source = "ideal volumes of resin and plasticiser" }
expansion = { value = 7.0e-4, low = 6.5e-4, high = 7.5e-4, origin = "computed", source = "volume-weighted, per kelvin" }
band = ["155 °C", "168 °C"]
target = "175 °C"
ceiling = "185 °C"
hazard_sheet = "folder 1, sheet 2"
absorption = [{ shape = "power", height = 0.0025, spread = -1.2 }]
scattering = [{ shape = "power", height = 0.02, spread = -0.5 }]
anisotropy = 0.85

# Colourants: what one drop in 100 g adds, in 1/mm. Shapes of λ: level 1; power (λ/place)^spread;
# edge 1/(1+exp((λ−place)/spread)); decay exp(−(λ−place)/spread); hill exp(−((λ−place)/spread)²/2).

[[colourant]]
name = "Peat"
lot = "R0211-C1"
clarity = "clear"
drop = { value = "30 mg", low = "28.6 mg", high = "31.4 mg", origin = "measured", count = 50 }
strength = { value = 1.0, low = 0.8333, high = 1.2, origin = "default", narrows = "a chip on the printed card" }
per = "drop in 100 g"
absorption = [{ shape = "decay", height = 0.07, place = 400, spread = 110 }]
anisotropy = 0.0

[[colourant]]
name = "Chalk"
lot = "R0211-C2"
clarity = "opaque"
drop = { value = "33 mg", low = "31.4 mg", high = "34.6 mg", origin = "measured", count = 50 }
strength = { value = 1.0, low = 0.8333, high = 1.2, origin = "default", narrows = "a chip on the printed card" }
per = "drop in 100 g"
absorption = [{ shape = "edge", height = 0.0008, place = 410, spread = 8 }, { shape = "level", height = 2e-5 }]
scattering = [{ shape = "power", height = 1.1, spread = -0.9 }]
anisotropy = 0.62

[[colourant]]
name = "Rind"
lot = "R0417-A3"
clarity = "fluorescent"
drop = { value = "29 mg", low = "27.6 mg", high = "30.4 mg", origin = "measured", count = 50 }
strength = { value = 1.0, low = 0.8333, high = 1.2, origin = "default", narrows = "a chip on the printed card" }
per = "drop in 100 g"
absorption = [{ shape = "edge", height = 0.10, place = 480, spread = 9 }]
scattering = [{ shape = "power", height = 0.03, spread = -1.0 }]
anisotropy = 0.65
heat_tender = true                 # goes in last and is not heated again

[[colourant]]
name = "Soot"
lot = "R0211-C4"
clarity = "opaque"
drop = { value = "31 mg", low = "29.5 mg", high = "32.5 mg", origin = "measured", count = 50 }
strength = { value = 1.0, low = 0.8333, high = 1.2, origin = "default", narrows = "a chip on the printed card" }
per = "drop in 100 g"
absorption = [{ shape = "power", height = 0.60, spread = -0.3 }]
scattering = [{ shape = "level", height = 0.02 }]
anisotropy = 0.6

[[flake]]
name = "Penny"
colour = "copper"
size = "0.4 mm"                    # across flats
thickness = "25 µm"
metal = true                       # sparks in a microwave oven: in after the last heat
reflectance = [{ shape = "level", height = 0.62 }, { shape = "edge", height = -0.34, place = 575, spread = 18 }]

[[flake]]
name = "Moss"
colour = "green"
size = "0.6 mm"
thickness = "25 µm"
heat_limit = "170 °C"              # sheds above it
reflectance = [{ shape = "level", height = 0.06 }, { shape = "hill", height = 0.30, place = 535, spread = 35 }]

[[flake]]
name = "Ink"
colour = "black"
size = "0.2 mm"
thickness = "25 µm"
reflectance = [{ shape = "level", height = 0.04 }]

[[additive]]
name = "fine salt"
kind = "salt"
grain = "50 µm"
','','2026-03-01 18:30:00.000000');
CREATE TABLE photo (
	id VARCHAR(12) NOT NULL, 
	workshop_id VARCHAR(12) NOT NULL, 
	document_id VARCHAR(12), 
	run_code VARCHAR(12), 
	kind VARCHAR(12) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	media_type VARCHAR(20) NOT NULL, 
	size INTEGER NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	created_at DATETIME NOT NULL, 
	content BLOB NOT NULL, 
	CONSTRAINT pk_photo PRIMARY KEY (id), 
	CONSTRAINT ck_photo_kind CHECK (kind IN ('bottom_mark', 'slice', 'run', 'chip')), 
	CONSTRAINT ck_photo_of_one_thing CHECK ((document_id IS NULL) <> (run_code IS NULL)), 
	CONSTRAINT fk_photo_workshop_id FOREIGN KEY(workshop_id) REFERENCES workshop (id), 
	CONSTRAINT fk_photo_document_id FOREIGN KEY(document_id) REFERENCES document (id), 
	CONSTRAINT fk_photo_run_code FOREIGN KEY(run_code) REFERENCES run (code)
);
INSERT INTO "photo" VALUES('PH0T0000000A','SH9CK4PWXJW1','HB3K7SK9EN0N',NULL,'bottom_mark','mark.png','image/png',67,'a1abfd410973b0111c215baa879b9edcd739e601659ba44168269767cc2e9108','2026-03-01 18:30:00.000000',X'89504E470D0A1A0A0000000D49484452000000010000000108000000003A7E9B550000000A49444154789C636800000082008177CD72B60000000049454E44AE426082');
INSERT INTO "photo" VALUES('P0D601EVJGR9','SH9CK4PWXJW1',NULL,'R7Q2MX9D40','run','wrong.png','image/png',70,'c2153f77e11087fcb078ae38527fa83bef29791e3700e30cc87fec4405a66d0f','2026-03-01 18:30:00.000000',X'89504E470D0A1A0A0000000D49484452000000010000000108060000001F15C4890000000D49444154789C6360606060000000050001A5F645400000000049454E44AE426082');
INSERT INTO "photo" VALUES('6M02JF5NP53G','SH9CK4PWXJW1','YDDEH2YC7VTX',NULL,'chip','chip.png','image/png',70,'c2153f77e11087fcb078ae38527fa83bef29791e3700e30cc87fec4405a66d0f','2026-03-01 18:30:00.000000',X'89504E470D0A1A0A0000000D49484452000000010000000108060000001F15C4890000000D49444154789C6360606060000000050001A5F645400000000049454E44AE426082');
CREATE TABLE photo_card (
	id VARCHAR(12) NOT NULL, 
	workshop_id VARCHAR(12) NOT NULL, 
	number INTEGER NOT NULL, 
	entered VARCHAR(40) NOT NULL, 
	line_m DOUBLE NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_photo_card PRIMARY KEY (id), 
	CONSTRAINT ck_photo_card_number CHECK (number > 0), 
	CONSTRAINT ck_photo_card_line CHECK (line_m > 0), 
	CONSTRAINT fk_photo_card_workshop_id FOREIGN KEY(workshop_id) REFERENCES workshop (id)
);
INSERT INTO "photo_card" VALUES('0C8NYRV5FE8C','SH9CK4PWXJW1',3,'99.2 mm',0.0992,'2026-03-01 18:30:00.000000');
CREATE TABLE "plan" (
	code VARCHAR(12) NOT NULL, 
	recipe_version_id VARCHAR(12) NOT NULL, 
	mould_version_id VARCHAR(12) NOT NULL, 
	bench_version_id VARCHAR(12) NOT NULL, 
	shelf_version_id VARCHAR(12) NOT NULL, 
	count INTEGER NOT NULL, 
	inputs JSON NOT NULL, 
	answer JSON NOT NULL, 
	program VARCHAR(40) NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_plan PRIMARY KEY (code), 
	CONSTRAINT fk_plan_recipe_version_id FOREIGN KEY(recipe_version_id) REFERENCES document_version (id), 
	CONSTRAINT fk_plan_mould_version_id FOREIGN KEY(mould_version_id) REFERENCES document_version (id), 
	CONSTRAINT fk_plan_bench_version_id FOREIGN KEY(bench_version_id) REFERENCES document_version (id), 
	CONSTRAINT fk_plan_shelf_version_id FOREIGN KEY(shelf_version_id) REFERENCES document_version (id)
);
INSERT INTO "plan" VALUES('1JM2H70J28','6FKYCV45103D','ZGDS175VCHGM','1Q4REBN1PWWD','F1D1SM4QQ7A4',40,'{"paper": "A4", "reject_share": 0.07}','{"cup_a_g": 297.9, "melts": [162.1, 135.8], "words": "½ “quoted” <b>", "none": null}','0.1.0','2026-03-01 18:30:00.000000');
CREATE TABLE run (
	code VARCHAR(12) NOT NULL, 
	plan_code VARCHAR(12) NOT NULL, 
	moulds INTEGER NOT NULL, 
	practice JSON, 
	forecast JSON, 
	device VARCHAR(60) NOT NULL, 
	program VARCHAR(40) NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_run PRIMARY KEY (code), 
	CONSTRAINT fk_run_plan_code FOREIGN KEY(plan_code) REFERENCES "plan" (code)
);
INSERT INTO "run" VALUES('R7Q2MX9D40','1JM2H70J28',1,NULL,NULL,'phone','0.1.0','2026-03-01 18:30:00.000000');
CREATE TABLE run_event (
	run_code VARCHAR(12) NOT NULL, 
	id VARCHAR(26) NOT NULL, 
	place INTEGER NOT NULL, 
	kind VARCHAR(16) NOT NULL, 
	cup VARCHAR(1), 
	at DATETIME NOT NULL, 
	received_at DATETIME NOT NULL, 
	device VARCHAR(60) NOT NULL, 
	data JSON NOT NULL, 
	CONSTRAINT pk_run_event PRIMARY KEY (run_code, id), 
	CONSTRAINT fk_run_event_run_code FOREIGN KEY(run_code) REFERENCES run (code), 
	CONSTRAINT uq_run_event_run_code_place UNIQUE (run_code, place)
);
INSERT INTO "run_event" VALUES('R7Q2MX9D40','0123456789ABCDEF',1,'reading','A','2026-03-01 18:31:00.000000','2026-03-01 18:31:11.000000','phone','{"entered": "174", "unit": "C", "celsius": 174.0}');
INSERT INTO "run_event" VALUES('R7Q2MX9D40','0123456789ABCDEG',2,'correction',NULL,'2026-03-01 18:31:10.000000','2026-03-01 18:31:11.000000','phone','{"of": "0123456789ABCDEF", "data": {"celsius": 173.0}}');
CREATE TABLE workshop (
	id VARCHAR(12) NOT NULL, 
	name VARCHAR(120) NOT NULL, 
	created_at DATETIME NOT NULL, 
	CONSTRAINT pk_workshop PRIMARY KEY (id)
);
INSERT INTO "workshop" VALUES('SH9CK4PWXJW1','Vessary Shed','2026-03-01 18:30:00.000000');
CREATE INDEX ix_plan_recipe_version_id ON "plan" (recipe_version_id);
CREATE INDEX ix_plan_mould_version_id ON "plan" (mould_version_id);
CREATE INDEX ix_plan_bench_version_id ON "plan" (bench_version_id);
CREATE INDEX ix_plan_shelf_version_id ON "plan" (shelf_version_id);
CREATE INDEX ix_plan_created_at ON "plan" (created_at);
CREATE INDEX ix_run_plan_code ON run (plan_code);
CREATE INDEX ix_run_created_at ON run (created_at);
CREATE INDEX ix_photo_card_number ON photo_card (number);
CREATE INDEX ix_photo_document_id ON photo (document_id);
CREATE INDEX ix_photo_run_code ON photo (run_code);
COMMIT;
