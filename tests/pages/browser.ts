/** The browser that pages are tried in, and how wide a phone is. */
import { existsSync } from 'node:fs'

export const executablePath = [process.env.CHROMIUM_PATH, '/usr/bin/chromium'].find(
  (path) => path !== undefined && existsSync(path),
)

/** In CSS pixels. */
export const PHONE = { width: 390, height: 844 } as const
