/** Time and chance, so that tests need neither. */
export interface Clock {
  /** Unix time in milliseconds. */
  now(): number
  /** From 0 to 1. */
  random(): number
  /** Resolves after `ms`; rejects with the signal's reason as soon as it aborts. */
  sleep(ms: number, signal: AbortSignal): Promise<void>
}

export const systemClock: Clock = {
  now: () => Date.now(),
  random: () => Math.random(),
  sleep: (ms, signal) =>
    new Promise((resolve, reject) => {
      const abort = () => {
        clearTimeout(timer)
        reject(signal.reason)
      }
      const timer = setTimeout(() => {
        signal.removeEventListener('abort', abort)
        resolve()
      }, ms)
      if (signal.aborted) abort()
      else signal.addEventListener('abort', abort, { once: true })
    }),
}

/** A timer set for longer goes off at once; nobody waits 24 days, so longer means never. */
const TIMER_MS_MAX = 2 ** 31 - 1

/** A signal that aborts after `ms` or with the outer one; `release` drops both ties. */
export interface Deadline {
  readonly signal: AbortSignal
  /** Whether it was time that ended it. */
  passed(): boolean
  release(): void
}

export function deadline(ms: number, outer: AbortSignal | undefined): Deadline {
  const controller = new AbortController()
  let passed = false
  const abort = () => controller.abort(outer?.reason)
  const pass = () => {
    passed = !controller.signal.aborted
    controller.abort(new DOMException(`${ms} ms have passed.`, 'TimeoutError'))
  }
  const timer = ms <= TIMER_MS_MAX ? setTimeout(pass, ms) : undefined
  if (outer?.aborted) abort()
  else outer?.addEventListener('abort', abort, { once: true })
  return {
    signal: controller.signal,
    passed: () => passed,
    release: () => {
      clearTimeout(timer)
      outer?.removeEventListener('abort', abort)
    },
  }
}
