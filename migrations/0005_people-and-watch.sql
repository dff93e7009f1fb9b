CREATE TABLE `api_tokens` (
	`id` integer PRIMARY KEY NOT NULL,
	`person_id` integer NOT NULL,
	`name` text NOT NULL,
	`scope` text NOT NULL,
	`secret_hash` text NOT NULL,
	`created_at` integer NOT NULL,
	`ends_at` integer NOT NULL,
	`used_at` integer,
	`revoked_at` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `api_tokens_secret_hash_unique` ON `api_tokens` (`secret_hash`);--> statement-breakpoint
CREATE INDEX `api_tokens_by_person` ON `api_tokens` (`person_id`);--> statement-breakpoint
CREATE TABLE `letters` (
	`id` integer PRIMARY KEY NOT NULL,
	`once_key` text NOT NULL,
	`house_id` integer,
	`notice_id` integer,
	`person_id` integer,
	`kind` text NOT NULL,
	`to_address` text NOT NULL,
	`to_name` text NOT NULL,
	`message_id` text NOT NULL,
	`thread_id` text,
	`subject` text NOT NULL,
	`text` text NOT NULL,
	`html` text NOT NULL,
	`picture` blob,
	`picture_alt` text,
	`calendar` text,
	`unsubscribe_url` text,
	`secret` integer DEFAULT false NOT NULL,
	`state` text NOT NULL,
	`created_at` integer NOT NULL,
	`not_before_at` integer NOT NULL,
	`attempts` integer DEFAULT 0 NOT NULL,
	`tried_at` integer,
	`sent_at` integer,
	`problem` text,
	`address_refused` integer DEFAULT false NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`notice_id`) REFERENCES `notices`(`id`) ON UPDATE no action ON DELETE set null,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `letters_once_key_unique` ON `letters` (`once_key`);--> statement-breakpoint
CREATE UNIQUE INDEX `letters_message_id_unique` ON `letters` (`message_id`);--> statement-breakpoint
CREATE INDEX `letters_by_state` ON `letters` (`state`,`not_before_at`);--> statement-breakpoint
CREATE INDEX `letters_by_house` ON `letters` (`house_id`,`created_at`);--> statement-breakpoint
CREATE INDEX `letters_by_person` ON `letters` (`person_id`,`created_at`);--> statement-breakpoint
CREATE TABLE `letters_stopped` (
	`person_id` integer NOT NULL,
	`house_id` integer NOT NULL,
	`letter_class` text NOT NULL,
	`at` integer NOT NULL,
	PRIMARY KEY(`person_id`, `house_id`, `letter_class`),
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `notice_changes` (
	`id` integer PRIMARY KEY NOT NULL,
	`notice_id` integer NOT NULL,
	`at` integer NOT NULL,
	`change` text NOT NULL,
	`who` text NOT NULL,
	`body` text,
	FOREIGN KEY (`notice_id`) REFERENCES `notices`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `notice_changes_by_notice` ON `notice_changes` (`notice_id`,`at`);--> statement-breakpoint
CREATE TABLE `notices` (
	`id` integer PRIMARY KEY NOT NULL,
	`house_id` integer NOT NULL,
	`watch` text NOT NULL,
	`cause` text NOT NULL,
	`urgency` text NOT NULL,
	`since_at` integer NOT NULL,
	`opened_at` integer NOT NULL,
	`updated_at` integer NOT NULL,
	`acknowledged_at` integer,
	`acknowledged_by` text,
	`snoozed_until` integer,
	`escalated_at` integer,
	`cleared_at` integer,
	`body` text NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `notices_by_house` ON `notices` (`house_id`,`opened_at`);--> statement-breakpoint
CREATE UNIQUE INDEX `notices_open_by_cause` ON `notices` (`house_id`,`watch`,`cause`) WHERE cleared_at is null;--> statement-breakpoint
CREATE TABLE `owner_links` (
	`id` integer PRIMARY KEY NOT NULL,
	`person_id` integer NOT NULL,
	`house_id` integer NOT NULL,
	`created_at` integer NOT NULL,
	`ends_at` integer NOT NULL,
	`used_at` integer,
	`revoked_at` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `owner_links_by_house` ON `owner_links` (`house_id`);--> statement-breakpoint
CREATE TABLE `person_codes` (
	`id` integer PRIMARY KEY NOT NULL,
	`person_id` integer NOT NULL,
	`kind` text NOT NULL,
	`secret_hash` text NOT NULL,
	`created_at` integer NOT NULL,
	`ends_at` integer NOT NULL,
	`used_at` integer,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `person_codes_secret_hash_unique` ON `person_codes` (`secret_hash`);--> statement-breakpoint
CREATE INDEX `person_codes_by_person` ON `person_codes` (`person_id`);--> statement-breakpoint
CREATE TABLE `person_houses` (
	`person_id` integer NOT NULL,
	`house_id` integer NOT NULL,
	`since` integer NOT NULL,
	PRIMARY KEY(`person_id`, `house_id`),
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE INDEX `person_houses_by_house` ON `person_houses` (`house_id`);--> statement-breakpoint
CREATE TABLE `sessions` (
	`id` integer PRIMARY KEY NOT NULL,
	`person_id` integer NOT NULL,
	`secret_hash` text NOT NULL,
	`link_id` integer,
	`created_at` integer NOT NULL,
	`seen_at` integer NOT NULL,
	`ends_at` integer NOT NULL,
	`agent` text DEFAULT '' NOT NULL,
	`address` text DEFAULT '' NOT NULL,
	FOREIGN KEY (`person_id`) REFERENCES `people`(`id`) ON UPDATE no action ON DELETE cascade,
	FOREIGN KEY (`link_id`) REFERENCES `owner_links`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE UNIQUE INDEX `sessions_secret_hash_unique` ON `sessions` (`secret_hash`);--> statement-breakpoint
CREATE INDEX `sessions_by_person` ON `sessions` (`person_id`);--> statement-breakpoint
CREATE TABLE `watch_due` (
	`house_id` integer PRIMARY KEY NOT NULL,
	`from_at` integer NOT NULL,
	`marks` integer NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
CREATE TABLE `watch_states` (
	`house_id` integer PRIMARY KEY NOT NULL,
	`looked_at` integer NOT NULL,
	`version` integer NOT NULL,
	`state` text NOT NULL,
	FOREIGN KEY (`house_id`) REFERENCES `houses`(`id`) ON UPDATE no action ON DELETE cascade
);
--> statement-breakpoint
ALTER TABLE `people` ADD `password_hash` text;--> statement-breakpoint
ALTER TABLE `people` ADD `password_at` integer;--> statement-breakpoint
ALTER TABLE `people` ADD `closed_at` integer;--> statement-breakpoint
ALTER TABLE `firm` ADD `phone` text;--> statement-breakpoint
ALTER TABLE `firm` ADD `email` text;