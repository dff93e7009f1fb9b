/** Where and how often the service backs its database up, from the settings. */
import { resolve } from 'node:path'
import { SettingRefused } from './brokerSettings.ts'

export interface BackupSettings {
  folder: string
  everyH: number
  /** The newest so many stay in any case. */
  keep: number
}

export const DEFAULT_KEEP = 7
const DEFAULT_EVERY_H = 24
const MOST_EVERY_H = 24 * 31

/**
 * BACKUP_FOLDER, every BACKUP_EVERY_H hours (24), the newest BACKUP_KEEP (7) stay; without a folder there are none.
 * @throws SettingRefused
 */
export function backupsFrom(env: Record<string, string | undefined>): BackupSettings | undefined {
  if (env.BACKUP_FOLDER === undefined || env.BACKUP_FOLDER === '') return undefined
  const everyH = Number(env.BACKUP_EVERY_H || DEFAULT_EVERY_H)
  if (!(everyH >= 1 && everyH <= MOST_EVERY_H)) {
    throw new SettingRefused(
      `BACKUP_EVERY_H is "${env.BACKUP_EVERY_H}", expected hours from 1 to ${MOST_EVERY_H}, such as ${DEFAULT_EVERY_H}.`,
    )
  }
  return { folder: resolve(env.BACKUP_FOLDER), everyH, keep: keepFrom(env.BACKUP_KEEP || undefined, 'BACKUP_KEEP') }
}

/** @param name of the setting, for the sentence */
export function keepFrom(text: string | undefined, name: string): number {
  const keep = Number(text ?? DEFAULT_KEEP)
  if (!Number.isInteger(keep) || keep < 1) {
    throw new SettingRefused(`${name} is "${text}", expected a whole number from 1, such as ${DEFAULT_KEEP}.`)
  }
  return keep
}
