/** What the page does: takes a bundle and keys, verifies, shows the report. Nothing leaves the page. */
import { verifyBundle } from '../src/verify.ts'
import { reportElements } from './report.ts'

function element<T extends HTMLElement>(id: string, type: new () => T): T {
  const found = document.getElementById(id)
  if (!(found instanceof type)) throw new Error(`The page has no ${type.name} '${id}'.`)
  return found
}

const form = element('form', HTMLFormElement)
const file = element('file', HTMLInputElement)
const keys = element('keys', HTMLTextAreaElement)
const since = element('since', HTMLInputElement)
const replay = element('replay', HTMLInputElement)
const button = element('verify', HTMLButtonElement)
const mistake = element('mistake', HTMLElement)
const report = element('report', HTMLElement)

/** Says what is missing, at the field. */
function ask(field: HTMLElement, text: string): void {
  mistake.textContent = text
  field.focus()
}

/** Lets the browser draw before the page is busy. */
const drawn = (): Promise<void> => new Promise((done) => requestAnimationFrame(() => setTimeout(done)))

async function verify(): Promise<void> {
  mistake.textContent = ''
  report.hidden = true
  const bundle = file.files?.[0]
  if (bundle === undefined) return ask(file, 'Choose a bundle.')
  const lines = keys.value.split('\n').filter((line) => line.trim() !== '')
  if (lines.length === 0) return ask(keys, 'Give the verifier key of the log. Whoever keeps the log publishes it.')
  button.disabled = true
  button.textContent = 'Verifying…'
  try {
    await drawn()
    const kept = await since.files?.[0]?.text()
    const found = await verifyBundle(new Uint8Array(await bundle.arrayBuffer()), {
      keys: lines,
      replay: replay.checked,
      ...(kept !== undefined && { sinceCheckpoint: kept }),
    })
    report.replaceChildren(...reportElements(bundle.name, found))
    report.hidden = false
    report.focus()
  } catch (error) {
    // A key or a checkpoint that is not spelled as one, a file that can't be read, a browser without Ed25519.
    ask(keys, error instanceof Error ? error.message : String(error))
  } finally {
    button.disabled = false
    button.textContent = 'Verify'
  }
}

form.addEventListener('submit', (event) => {
  event.preventDefault()
  void verify()
})
document.addEventListener('dragover', (event) => event.preventDefault())
document.addEventListener('drop', (event) => {
  event.preventDefault()
  const dropped = event.dataTransfer?.files
  if (dropped !== undefined && dropped.length > 0) file.files = dropped
})
