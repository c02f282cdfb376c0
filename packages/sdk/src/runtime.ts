/** Where this code runs, asked of what the platform itself says; only globals that may be absent. */
import { VERSION } from './version.ts'

interface Globals {
  readonly document?: unknown
  readonly window?: unknown
  readonly Deno?: { readonly version?: { readonly deno?: string } }
  readonly Bun?: { readonly version?: string }
  readonly process?: { readonly versions?: { readonly node?: string } }
  readonly navigator?: { readonly userAgent?: string }
}

/** True in a page that someone is looking at, whose source and memory they can read. */
export const inPage = (globals: object = globalThis): boolean => {
  const { document, window } = globals as Globals
  return document !== undefined && window !== undefined
}

/** `liftledger-sdk/<version> (<runtime>)`; undefined in a page, where the browser speaks for itself. */
export function userAgent(globals: object = globalThis): string | undefined {
  if (inPage(globals)) return undefined
  return `liftledger-sdk/${VERSION} (${runtime(globals)})`
}

function runtime(globals: Globals): string {
  // Deno and Bun also show a `process` like Node's, so they are asked first.
  if (globals.Deno?.version?.deno !== undefined) return `deno/${globals.Deno.version.deno}`
  if (globals.Bun?.version !== undefined) return `bun/${globals.Bun.version}`
  if (globals.process?.versions?.node !== undefined) return `node/${globals.process.versions.node}`
  return globals.navigator?.userAgent ?? 'unknown'
}
