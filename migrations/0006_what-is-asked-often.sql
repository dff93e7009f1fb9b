DROP INDEX `letters_by_house`;--> statement-breakpoint
DROP INDEX `letters_by_person`;--> statement-breakpoint
CREATE INDEX `letters_by_notice` ON `letters` (`notice_id`,`person_id`);--> statement-breakpoint
CREATE INDEX `letters_by_address` ON `letters` (lower("to_address"));--> statement-breakpoint
CREATE INDEX `letters_by_tried` ON `letters` (`tried_at`);--> statement-breakpoint
CREATE INDEX `letters_by_house` ON `letters` (`house_id`,`state`,`sent_at`);--> statement-breakpoint
CREATE INDEX `letters_by_person` ON `letters` (`person_id`,`house_id`,`created_at`);--> statement-breakpoint
CREATE INDEX `findings_by_house_computed` ON `findings` (`house_id`,`computed_at`);