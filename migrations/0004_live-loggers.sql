CREATE TABLE `clock_checks` (
	`logger_id` integer NOT NULL,
	`day_at` integer NOT NULL,
	`off_s` real NOT NULL,
	`count` integer NOT NULL,
	PRIMARY KEY(`logger_id`, `day_at`),
	FOREIGN KEY (`logger_id`) REFERENCES `loggers`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `logger_states` (
	`logger_id` integer PRIMARY KEY NOT NULL,
	`first_heard_at` integer NOT NULL,
	`heard_at` integer NOT NULL,
	`connected` integer,
	`connected_at` integer,
	`battery_v` real,
	`signal_dbm` real,
	`firmware` text,
	`clock_off_s` real,
	`messages` integer DEFAULT 0 NOT NULL,
	`readings` integer DEFAULT 0 NOT NULL,
	`refused` integer DEFAULT 0 NOT NULL,
	FOREIGN KEY (`logger_id`) REFERENCES `loggers`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `refused_messages` (
	`id` integer PRIMARY KEY NOT NULL,
	`logger_key` text NOT NULL,
	`reason` text NOT NULL,
	`count` integer NOT NULL,
	`first_at` integer NOT NULL,
	`last_at` integer NOT NULL,
	`topic` text NOT NULL,
	`payload` blob NOT NULL,
	`payload_bytes` integer NOT NULL,
	`problem` text NOT NULL,
	`fix` text NOT NULL
);
--> statement-breakpoint
CREATE UNIQUE INDEX `refused_messages_by_logger_reason` ON `refused_messages` (`logger_key`,`reason`);--> statement-breakpoint
CREATE TABLE `sensor_checks` (
	`id` integer PRIMARY KEY NOT NULL,
	`kind` text NOT NULL,
	`probes` text NOT NULL,
	`salt` text,
	`started_at` integer NOT NULL,
	`ended_at` integer,
	`state` text NOT NULL,
	`result` text,
	`who` text NOT NULL
);
--> statement-breakpoint
CREATE TABLE `sequences` (
	`logger_id` integer NOT NULL,
	`run` text NOT NULL,
	`through` integer NOT NULL,
	`beyond` text NOT NULL,
	`missed` integer DEFAULT 0 NOT NULL,
	`heard_at` integer NOT NULL,
	PRIMARY KEY(`logger_id`, `run`),
	FOREIGN KEY (`logger_id`) REFERENCES `loggers`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `service_facts` (
	`name` text PRIMARY KEY NOT NULL,
	`value` text NOT NULL
);
--> statement-breakpoint
CREATE TABLE `station_fetches` (
	`station_id` integer PRIMARY KEY NOT NULL,
	`tried_at` integer NOT NULL,
	`ok_at` integer,
	`problem` text,
	`failures` integer DEFAULT 0 NOT NULL,
	`tag` text,
	`newest_at` integer,
	`stored` integer DEFAULT 0 NOT NULL,
	FOREIGN KEY (`station_id`) REFERENCES `stations`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
ALTER TABLE `loggers` ADD `code` text;--> statement-breakpoint
ALTER TABLE `loggers` ADD `has_radio` integer DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE `loggers` ADD `interval_s` integer;--> statement-breakpoint
CREATE UNIQUE INDEX `loggers_code_unique` ON `loggers` (`code`);