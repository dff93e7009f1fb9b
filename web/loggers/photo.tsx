/** A photo of the logger where it hangs: whoever comes next finds it. */
import type { HouseAnswer } from '../../server/http/contract/house.ts'
import type { Logger } from '../../server/http/contract/loggers.ts'
import { useActing } from '../base/acting.ts'
import { ask, ofHouse } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Section, TroubleBox } from '../base/parts.tsx'
import { UndoHint } from './hangs.tsx'
import { shrunk } from './shrink.ts'

export function Photo({ logger, houseKey }: { logger: Logger; houseKey: string }) {
  const house = useLoad<HouseAnswer>(ofHouse(houseKey))
  const acting = useActing()
  const own = (house.body?.house.photos ?? []).filter(({ caption }) => caption?.startsWith(`logger ${logger.key} at `))
  const latest = own.at(-1)

  async function take(file: File | undefined): Promise<void> {
    if (file === undefined) return
    const done = await acting.run(async () => {
      const form = new FormData()
      form.append('photo', await shrunk(file), 'photo.jpg')
      await ask(`/api/loggers/${encodeURIComponent(logger.key)}/photo`, { method: 'POST', body: form })
      return 'The photo is kept.'
    })
    if (done) house.again()
  }

  return (
    <Section id="photo" title="Photo of it where it hangs" class={latest ? 'section' : 'section no-print'}>
      <div class="stack">
        {latest && (
          <figure class="logger-photo">
            <img src={`/api/photos/${latest.hash}`} alt={`${logger.key} where it hangs`} />
            <figcaption class="small quiet">
              {latest.caption?.replace(/^logger \S+ at /, 'At ')}
              {latest.takenAt !== undefined && `, ${latest.takenAt.replace('T', ' ').slice(0, 16)}`}
            </figcaption>
          </figure>
        )}
        <label class="button no-print">
          {acting.busy ? 'Keeping the photo' : latest ? 'Take another photo' : 'Take a photo'}
          <input
            type="file"
            class="unseen"
            accept="image/jpeg,image/png,image/webp,image/*"
            capture="environment"
            disabled={acting.busy}
            onChange={(event) => {
              void take(event.currentTarget.files?.[0])
              event.currentTarget.value = ''
            }}
          />
        </label>
        <p role="status">
          {acting.said !== '' && (
            <>
              {acting.said} <UndoHint house={logger.house} />
            </>
          )}
        </p>
        {acting.trouble && <TroubleBox trouble={acting.trouble} />}
      </div>
    </Section>
  )
}
