CREATE TABLE `corrections` (
	`id` integer PRIMARY KEY NOT NULL,
	`probe_id` integer NOT NULL,
	`quantity` text NOT NULL,
	`offset` real NOT NULL,
	`from_at` integer NOT NULL,
	`from_local` text NOT NULL,
	`to_at` integer,
	`to_local` text,
	`why` text NOT NULL,
	FOREIGN KEY (`probe_id`) REFERENCES `probes`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `corrections_by_probe` ON `corrections` (`probe_id`,`from_at`);--> statement-breakpoint
CREATE TABLE `events` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer NOT NULL,
	`kind` text NOT NULL,
	`from_at` integer NOT NULL,
	`from_local` text NOT NULL,
	`to_at` integer,
	`to_local` text,
	`note` text,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `events_by_house` ON `events` (`house_id`,`from_at`);--> statement-breakpoint
CREATE TABLE `findings` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer NOT NULL,
	`question` text NOT NULL,
	`ordinal` integer NOT NULL,
	`fingerprint` text NOT NULL,
	`body` text NOT NULL,
	`computed_at` integer NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `findings_by_house_question` ON `findings` (`house_id`,`question`,`ordinal`);--> statement-breakpoint
CREATE TABLE `firm` (
	`id` integer PRIMARY KEY NOT NULL,
	`name` text DEFAULT '' NOT NULL,
	`settings` text DEFAULT '{}' NOT NULL
);
--> statement-breakpoint
CREATE TABLE `history` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer,
	`at` integer NOT NULL,
	`who` text NOT NULL,
	`what` text NOT NULL,
	`subject` text NOT NULL,
	`before` text,
	`after` text
);
--> statement-breakpoint
CREATE INDEX `history_by_house` ON `history` (`house_id`,`at`);--> statement-breakpoint
CREATE TABLE `hourly` (
	`probe_id` integer NOT NULL,
	`at` integer NOT NULL,
	`count` integer NOT NULL,
	`temp_c` real,
	`temp_min_c` real,
	`temp_max_c` real,
	`rh_pct` real,
	`rh_min_pct` real,
	`rh_max_pct` real,
	`vapor_pressure_pa` real,
	`dew_point_max_c` real,
	`wood_mc_pct` real,
	`surface_temp_c` real,
	`surface_temp_min_c` real,
	`rain_mm` real,
	`water_present_share` real,
	`power_w` real,
	`condensate_l` real,
	`battery_min_v` real,
	`marks` integer DEFAULT 0 NOT NULL,
	PRIMARY KEY(`probe_id`, `at`)
) WITHOUT ROWID;
--> statement-breakpoint
CREATE TABLE `hourly_due` (
	`probe_id` integer PRIMARY KEY NOT NULL,
	`from_at` integer NOT NULL,
	`to_at` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `house_stations` (
	`house_id` integer NOT NULL,
	`station_id` integer NOT NULL,
	PRIMARY KEY(`house_id`, `station_id`),
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`station_id`) REFERENCES `stations`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `houses` (
	`id` integer PRIMARY KEY NOT NULL,
	`key` text NOT NULL,
	`name` text NOT NULL,
	`invented` integer DEFAULT false NOT NULL,
	`place` text DEFAULT '' NOT NULL,
	`time_zone` text NOT NULL,
	`latitude` real,
	`longitude` real,
	`elevation_m` real,
	`flood_zone` text DEFAULT 'not looked at' NOT NULL,
	`combustion_appliances` text DEFAULT 'not looked at' NOT NULL,
	`radon_test` text DEFAULT 'not looked at' NOT NULL,
	`safety_note` text,
	`facts` text DEFAULT '{}' NOT NULL,
	`settings` text DEFAULT '{}' NOT NULL,
	`created_at` integer NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `houses_key_unique` ON `houses` (`key`);--> statement-breakpoint
CREATE TABLE `import_answers` (
	`shape_key` text PRIMARY KEY NOT NULL,
	`answers` text NOT NULL,
	`at` integer NOT NULL
);
--> statement-breakpoint
CREATE TABLE `import_lines` (
	`import_id` integer NOT NULL,
	`line` integer NOT NULL,
	`part` integer NOT NULL,
	`outcome` text NOT NULL,
	`problem` text NOT NULL,
	`fix` text NOT NULL,
	`text` text NOT NULL,
	PRIMARY KEY(`import_id`, `line`, `part`)
) WITHOUT ROWID;
--> statement-breakpoint
CREATE TABLE `imports` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer,
	`file_name` text NOT NULL,
	`file_hash` text,
	`file_bytes` integer NOT NULL,
	`state` text NOT NULL,
	`understanding` text NOT NULL,
	`stored` integer DEFAULT 0 NOT NULL,
	`repeated` integer DEFAULT 0 NOT NULL,
	`filled` integer DEFAULT 0 NOT NULL,
	`differs` integer DEFAULT 0 NOT NULL,
	`refused` integer DEFAULT 0 NOT NULL,
	`started_at` integer NOT NULL,
	`finished_at` integer,
	`note` text,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `imports_by_house` ON `imports` (`house_id`);--> statement-breakpoint
CREATE TABLE `jobs` (
	`id` integer PRIMARY KEY NOT NULL,
	`kind` text NOT NULL,
	`house_id` integer,
	`args` text NOT NULL,
	`state` text NOT NULL,
	`done` real DEFAULT 0 NOT NULL,
	`total` real,
	`message` text DEFAULT '' NOT NULL,
	`cancel_requested` integer DEFAULT false NOT NULL,
	`attempts` integer DEFAULT 0 NOT NULL,
	`result` text,
	`created_at` integer NOT NULL,
	`started_at` integer,
	`heard_at` integer,
	`finished_at` integer,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `jobs_by_state` ON `jobs` (`state`,`id`);--> statement-breakpoint
CREATE TABLE `loggers` (
	`id` integer PRIMARY KEY NOT NULL,
	`key` text NOT NULL,
	`name` text,
	`secret_hash` text,
	`enrolled_at` integer,
	`retired_at` integer
);
--> statement-breakpoint
CREATE UNIQUE INDEX `loggers_key_unique` ON `loggers` (`key`);--> statement-breakpoint
CREATE TABLE `people` (
	`id` integer PRIMARY KEY NOT NULL,
	`email` text NOT NULL,
	`name` text NOT NULL,
	`role` text NOT NULL,
	`units` text DEFAULT 'us' NOT NULL,
	`created_at` integer NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `people_email_unique` ON `people` (`email`);--> statement-breakpoint
CREATE TABLE `photos` (
	`house_id` integer NOT NULL,
	`hash` text NOT NULL,
	`media_type` text NOT NULL,
	`taken_at` integer,
	`taken_local` text,
	`caption` text DEFAULT '' NOT NULL,
	PRIMARY KEY(`house_id`, `hash`),
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `placements` (
	`id` integer PRIMARY KEY NOT NULL,
	`probe_id` integer NOT NULL,
	`spot_id` integer NOT NULL,
	`from_at` integer NOT NULL,
	`from_local` text NOT NULL,
	`to_at` integer,
	`to_local` text,
	FOREIGN KEY (`probe_id`) REFERENCES `probes`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`spot_id`) REFERENCES `spots`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `placements_by_probe_from` ON `placements` (`probe_id`,`from_at`);--> statement-breakpoint
CREATE INDEX `placements_by_spot` ON `placements` (`spot_id`);--> statement-breakpoint
CREATE TABLE `probes` (
	`id` integer PRIMARY KEY NOT NULL,
	`logger_id` integer NOT NULL,
	`key` text NOT NULL,
	`accuracy_temp_c` real,
	`accuracy_rh_pct` real,
	FOREIGN KEY (`logger_id`) REFERENCES `loggers`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `probes_by_logger_key` ON `probes` (`logger_id`,`key`);--> statement-breakpoint
CREATE TABLE `readings` (
	`probe_id` integer NOT NULL,
	`at` integer NOT NULL,
	`temp_c` integer,
	`rh_pct` integer,
	`wood_mc_pct` integer,
	`surface_temp_c` integer,
	`rain_mm` integer,
	`water_present` integer,
	`power_w` integer,
	`condensate_l` integer,
	`battery_v` integer,
	`import_id` integer,
	PRIMARY KEY(`probe_id`, `at`)
) WITHOUT ROWID;
--> statement-breakpoint
CREATE TABLE `spaces` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer NOT NULL,
	`key` text NOT NULL,
	`name` text NOT NULL,
	`role` text NOT NULL,
	`kind` text,
	`floor_area_m2` real,
	`height_m` real,
	`perimeter_m` real,
	`vent_count` integer,
	`vent_state` text,
	`ground_cover_share_pct` real,
	`ordinal` integer DEFAULT 0 NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `spaces_by_house_key` ON `spaces` (`house_id`,`key`);--> statement-breakpoint
CREATE TABLE `spots` (
	`id` integer PRIMARY KEY NOT NULL,
	`space_id` integer NOT NULL,
	`key` text NOT NULL,
	`name` text NOT NULL,
	`height_m` real,
	`x` real,
	`y` real,
	`cold_surface` text,
	`ordinal` integer DEFAULT 0 NOT NULL,
	FOREIGN KEY (`space_id`) REFERENCES `spaces`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `spots_by_space_key` ON `spots` (`space_id`,`key`);--> statement-breakpoint
CREATE TABLE `stations` (
	`id` integer PRIMARY KEY NOT NULL,
	`key` text NOT NULL,
	`name` text NOT NULL,
	`kind` text NOT NULL,
	`quantities` text NOT NULL,
	`config` text DEFAULT '{}' NOT NULL,
	`probe_id` integer NOT NULL,
	FOREIGN KEY (`probe_id`) REFERENCES `probes`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE UNIQUE INDEX `stations_key_unique` ON `stations` (`key`);--> statement-breakpoint
CREATE TABLE `surveys` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer NOT NULL,
	`at` integer NOT NULL,
	`at_local` text NOT NULL,
	`by` text,
	`note` text,
	`readings` text DEFAULT '[]' NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `surveys_by_house` ON `surveys` (`house_id`,`at`);--> statement-breakpoint
CREATE TABLE `works` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer NOT NULL,
	`key` text NOT NULL,
	`kind` text NOT NULL,
	`from_at` integer NOT NULL,
	`from_local` text NOT NULL,
	`to_at` integer,
	`to_local` text,
	`note` text,
	`details` text,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `works_by_house_key` ON `works` (`house_id`,`key`);