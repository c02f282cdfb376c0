/** What every slice is handed: a plain object, so that a test can give another clock or other ids. */
import type { Logger } from 'pino'
import type { Config } from './config.ts'
import type { Databases } from './db/database.ts'

export interface Deps {
  readonly databases: Databases
  readonly config: Config
  readonly log: Logger
  now(): Date
  /** A new UUIDv7. */
  newId(): string
  /** 16 random bytes. */
  newSalt(): Buffer
}
