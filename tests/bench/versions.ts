/** What a run says about itself: versions of what is compared, and the machine. */
import { readFileSync } from 'node:fs'
import { cpus, release, totalmem } from 'node:os'

/** Version of an installed package. */
export const versionOf = (name: string): string =>
  (
    JSON.parse(readFileSync(new URL(`../../node_modules/${name}/package.json`, import.meta.url), 'utf8')) as {
      version: string
    }
  ).version

export function machine(): string {
  const all = cpus()
  const gibibytes = Math.round(totalmem() / 2 ** 30)
  return `Node ${process.version}, ${all.length} × ${all[0]?.model.trim() ?? 'unknown processor'}, ${gibibytes} GiB, ${process.platform} ${release()}`
}
