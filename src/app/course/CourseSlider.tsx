import { useEffect } from 'react';
import { Label, Slider, SliderOutput, SliderThumb, SliderTrack } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { TextButton } from '../design/controls.tsx';
import { goToStage, setCourseView, useCourseView } from './courseStore.ts';

/** How long a stage stays while playing; longer where motion is unwanted. */
const STAGE_MS = 220;
const STILL_STAGE_MS = 900;

/** The stage looked at, by slider, keys, or played from here to the end. */
export function CourseSlider({ jaw, stageCount, stage }: { jaw: Jaw; stageCount: number; stage: number }) {
  const playing = useCourseView((state) => state.playing);
  useEffect(() => {
    if (!playing) return;
    if (stage >= stageCount) {
      setCourseView({ playing: false });
      return;
    }
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    const next = setTimeout(() => goToStage(jaw, stage + 1, stageCount), still ? STILL_STAGE_MS : STAGE_MS);
    return () => clearTimeout(next);
  }, [playing, stage, stageCount, jaw]);
  const toggle = (): void => {
    if (!playing && stage >= stageCount) goToStage(jaw, 0, stageCount);
    setCourseView({ playing: !playing });
  };
  return (
    <div className="course__play">
      <TextButton small isDisabled={stageCount === 0} onPress={toggle}>
        {playing ? 'Pause' : 'Play'}
      </TextButton>
      <Slider
        className="course__slider"
        minValue={0}
        maxValue={Math.max(1, stageCount)}
        step={1}
        isDisabled={stageCount === 0}
        value={stage}
        onChange={(value) => {
          setCourseView({ playing: false });
          goToStage(jaw, Number(value), stageCount);
        }}
      >
        <Label className="field__label">Stage</Label>
        <SliderTrack className="slider__track course__track">
          <SliderThumb className="slider__thumb" />
        </SliderTrack>
        <SliderOutput className="num">{`${stage} of ${stageCount}`}</SliderOutput>
      </Slider>
    </div>
  );
}
