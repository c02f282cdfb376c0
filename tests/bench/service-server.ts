/** The service in a process of its own, with the invented basin and a firm's key. */
import { startService } from '@liftledger/service'
import { seedBasin } from '../../seed/seed.ts'
import { freePort, SERVICE_SETTINGS } from './servers.ts'

const service = await startService({
  environment: {
    ...SERVICE_SETTINGS,
    DATABASE_URL: process.argv[2]!,
    PORT: '0',
    METRICS_PORT: String(await freePort()),
  },
})
const basin = await seedBasin(service)
process.send!({ url: service.url, key: basin.firms[0]!.key })
process.on('disconnect', () => void service.stop().then(() => process.exit(0)))
