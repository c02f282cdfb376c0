/** The processes of the torture: started, killed without warning, started again. Only those started here are killed. */
import { type ChildProcess, execFile, fork } from 'node:child_process'
import { once } from 'node:events'
import { readFile, rm } from 'node:fs/promises'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { type Embedded, startEmbedded } from '@liftledger/service/embedded'
import { freePort } from '../bench/servers.ts'
import type { ClientTask, Progress } from './load.ts'

const run = promisify(execFile)
const KILL_TRIES = 200

export const SERVICE_SETTINGS = {
  KEY_PEPPER: 'a pepper for the torture, of 32 characters or more',
  // One firm sends more than a firm may.
  RATE_PER_MINUTE: '0',
  PUBLIC_PER_MINUTE: '0',
  // Who is refused at the door learns nothing about what lies behind it.
  EVENT_LOOP_DELAY_MS_MAX: '0',
  QUEUE_AGE_MS_MAX: '0',
} as const

const start = (script: string, args: readonly string[]): ChildProcess =>
  fork(fileURLToPath(new URL(script, import.meta.url)), args, { stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })

const isAlive = ({ exitCode, signalCode }: ChildProcess): boolean => exitCode === null && signalCode === null

/** A service on a port of its own. */
export class ServiceProcess {
  readonly url: string
  readonly #args: readonly string[]
  #child: ChildProcess | undefined

  constructor(databaseUrl: string, port: number) {
    this.url = `http://127.0.0.1:${port}`
    this.#args = [databaseUrl, String(port)]
  }

  /** Answers when it listens. */
  async start(): Promise<void> {
    const child = start('service-process.ts', this.#args)
    this.#child = child
    const ended = once(child, 'exit').then(([code]) => {
      throw new Error(`The service ended with ${code} before it listened.`)
    })
    await Promise.race([once(child, 'message'), ended])
    ended.catch(() => undefined)
  }

  get isAlive(): boolean {
    return this.#child !== undefined && isAlive(this.#child)
  }

  async kill(): Promise<void> {
    const child = this.#child
    if (child === undefined || !isAlive(child)) throw new Error('There is no service to kill: it ended by itself.')
    const ended = once(child, 'exit')
    child.kill('SIGKILL')
    await ended
  }

  /** Lets it end as it does when it is told to. */
  async stop(): Promise<void> {
    const child = this.#child
    if (child === undefined || !isAlive(child)) return
    const ended = once(child, 'exit')
    child.disconnect()
    await ended
  }
}

/** Postgres on a port and in a folder of its own, with the settings that the product gives it. */
export class PostgresServer {
  readonly #directory: string
  #port = 0
  #embedded: Embedded | undefined

  constructor(directory: string) {
    this.#directory = directory
  }

  /** Answers the URL of its superuser, the same each time. */
  async start(): Promise<string> {
    this.#port ||= await freePort()
    this.#embedded = await startEmbedded({ directory: this.#directory, port: this.#port })
    return this.#embedded.url
  }

  /** The postmaster and all its children at once. */
  async kill(): Promise<void> {
    const all = await this.#signal('SIGKILL')
    await this.#embedded?.stop()
    // A server that starts while one of them still holds the shared memory refuses to.
    for (let tries = 0; (await living()).some(({ pid }) => all.includes(pid)); tries++) {
      if (tries === KILL_TRIES) throw new Error(`Some of the processes ${all.join(', ')} outlive SIGKILL.`)
      await sleep(20)
    }
  }

  /** All of it stands still, connections open, until `resume`. */
  async halt(): Promise<void> {
    await this.#signal('SIGSTOP')
  }

  async resume(): Promise<void> {
    await this.#signal('SIGCONT')
  }

  async #signal(signal: NodeJS.Signals): Promise<number[]> {
    const home = await this.#home()
    const postmaster = Number((await readFile(join(home, 'data', 'postmaster.pid'), 'utf8')).split('\n')[0])
    const all = [postmaster, ...(await living()).filter(({ parent }) => parent === postmaster).map(({ pid }) => pid)]
    for (const pid of all) {
      try {
        process.kill(pid, signal)
      } catch {
        // A child that has ended by itself since.
      }
    }
    return all
  }

  async remove(): Promise<void> {
    await this.#embedded?.stop()
    const home = await this.#home()
    for (const folder of [home, this.#directory]) await rm(folder, { recursive: true, force: true })
  }

  /** Elsewhere, where its unprivileged user can't enter the folder. */
  async #home(): Promise<string> {
    return readFile(join(this.#directory, 'location'), 'utf8').catch(() => this.#directory)
  }
}

/** All processes but those that have ended and whose end nobody took note of. */
async function living(): Promise<{ pid: number; parent: number }[]> {
  const { stdout } = await run('ps', ['-A', '-o', 'pid=,ppid=,stat='])
  return stdout
    .trim()
    .split('\n')
    .map((line) => line.trim().split(/\s+/))
    .flatMap(([pid, parent, state]) => (state?.startsWith('Z') ? [] : { pid: Number(pid), parent: Number(parent) }))
}

/** The client, and how far it has come. */
export class ClientProcess {
  readonly #child: ChildProcess
  #progress: Progress = { stored: 0, unknown: 0, refused: 0, wrong: 0, unavailable: 0, ended: false }

  constructor(task: ClientTask) {
    this.#child = start('client.ts', [JSON.stringify(task)])
    this.#child.on('message', (progress) => {
      this.#progress = progress as Progress
    })
  }

  get progress(): Progress {
    return this.#progress
  }

  /** Answers, in seconds, how long it took until one more was acknowledged. */
  async untilMoreIsStored(patienceMs: number): Promise<number> {
    const before = this.#progress.stored
    const started = performance.now()
    while (this.#progress.stored === before) {
      if (!isAlive(this.#child)) throw new Error('The client ended before it was told to.')
      if (performance.now() - started > patienceMs) throw new Error(`Nothing was stored for ${patienceMs / 1000} s.`)
      await sleep(10)
    }
    return (performance.now() - started) / 1000
  }

  /** Lets it repeat what it doesn't know, until it does. */
  async finish(): Promise<Progress> {
    const ended = once(this.#child, 'exit')
    this.#child.send('finish')
    await ended
    if (!this.#progress.ended) throw new Error('The client ended without having said all.')
    return this.#progress
  }

  stop(): void {
    if (isAlive(this.#child)) this.#child.kill('SIGKILL')
  }
}
