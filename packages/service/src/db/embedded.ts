/**
 * The Postgres of demo, development and tests: nothing to install, nothing to configure.
 *
 * The server runs below a small process of its own (`embedded-process.ts`) that holds one end of a
 * pipe. It stops when the pipe closes, so no server outlives this process, however this process ends;
 * and Ctrl-C in a terminal reaches this process only, which first finishes its requests.
 */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import type { Socket } from 'node:net'
import path from 'node:path'
import { createInterface } from 'node:readline'
import { fileURLToPath } from 'node:url'
import type { Logger } from 'pino'

export interface EmbeddedOptions {
  /** Folder of the cluster; reused if it was initialised before. One server a folder at a time. */
  readonly directory: string
  /** Port on 127.0.0.1; a free one by default. */
  readonly port?: number
  /** Whether the folder stays when the server stops. Default: it stays. */
  readonly persistent?: boolean
  /** Server settings by name, as in postgresql.conf. */
  readonly settings?: Readonly<Record<string, string>>
  readonly log?: Pick<Logger, 'info'>
}

export interface Embedded {
  /** URL of its superuser. */
  readonly url: string
  /** Stops the server after its sessions were told to end; resolves when it is down. */
  stop(): Promise<void>
}

/** Where development keeps its cluster, from the folder the command was started in. */
export const DEVELOPMENT_DIRECTORY = path.join('.data', 'postgres')

/** @throws when the server doesn't start; the message holds the end of its log. */
export async function startEmbedded(options: EmbeddedOptions): Promise<Embedded> {
  const { log, ...request } = options
  const child = spawn(process.execPath, [fileURLToPath(new URL('./embedded-process.ts', import.meta.url))], {
    detached: true,
    stdio: ['pipe', 'pipe', 'inherit'],
    windowsHide: true,
  })
  const ended = once(child, 'exit')
  child.stdin.on('error', () => undefined)
  child.stdin.write(`${JSON.stringify({ ...request, directory: path.resolve(options.directory) })}\n`)
  const answer = await firstLine(child.stdout)
  if (answer.url === undefined) throw new Error(answer.error ?? 'The embedded Postgres did not start.')

  // An idle server must not keep this process alive.
  child.unref()
  for (const pipe of [child.stdin, child.stdout]) (pipe as unknown as Socket).unref()
  log?.info({ directory: options.directory, port: Number(new URL(answer.url).port) }, 'embedded Postgres is up')
  return {
    url: answer.url,
    async stop() {
      child.ref()
      child.stdin.end()
      await ended
    },
  }
}

async function firstLine(stream: NodeJS.ReadableStream): Promise<{ url?: string; error?: string }> {
  for await (const line of createInterface({ input: stream })) return JSON.parse(line)
  return {}
}
